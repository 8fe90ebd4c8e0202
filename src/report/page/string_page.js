  // One string on a page of its own.
  function showString(section, box) {
    var string = data.strings[section];
    var nav = make('nav', null, 'steps');
    nav.setAttribute('aria-label', 'Strings');
    nav.appendChild(link('All strings', 'strings'));
    if (section > 0) nav.appendChild(link('← ' + data.strings[section - 1].title, 's' + (section - 1)));
    if (section + 1 < data.strings.length) nav.appendChild(link(data.strings[section + 1].title + ' →', 's' + (section + 1)));
    box.appendChild(nav);
    var head = make('h1', string.heading);
    head.tabIndex = -1;
    box.appendChild(head);
    box.appendChild(make('p', string.counts, 'line'));
    box.appendChild(make('p', string.conditions, 'line quiet'));
    var ribbon = make('div', null, 'drawing');
    ribbon.tabIndex = 0;
    box.appendChild(ribbon);
    showRibbon(section, ribbon);
    var legend = byId('legend').cloneNode(true);
    legend.removeAttribute('id');
    box.appendChild(legend);
    string.findings.forEach(function (rank) {
      var p = make('p', null, 'line');
      p.append(mark(data.findings[rank]['class']), ' ', link(data.findings[rank].headline, 'f' + rank));
      box.appendChild(p);
    });
    return head;
  }
