  // The ribbon of a string, unpacked when it is asked for.
  function showRibbon(section, box) {
    var string = data.strings[section];
    var file = 'strings/' + string.file;
    box.textContent = '';
    function beside(words) {
      var p = make('p', words + ' ', 'line quiet');
      var a = make('a', file);
      a.href = file;
      p.appendChild(a);
      box.appendChild(p);
    }
    if (!ribbons[section]) {
      beside('This report is large: the ribbon of this string lies beside it, in');
      return;
    }
    unpack(ribbons[section]).then(function (text) {
      var ribbon = JSON.parse(text);
      Object.keys(ribbon.modules).forEach(function (index) { shownCells[index] = ribbon.modules[index]; });
      var parsed = new DOMParser().parseFromString('<div>' + ribbon.svg + '</div>', 'text/html').querySelector('svg');
      box.appendChild(document.importNode(parsed, true));
      each(box.querySelectorAll('g.cells'), paint);
    }).catch(function (problem) { beside(problem.message + ' The drawing also lies beside this page, in'); });
  }
