  // One finding on a page of its own: evidence, numbers, pictures, drawings, review.
  function group(title, rows) {
    var section = make('section', null, 'group');
    section.appendChild(make('h2', title));
    var list = make('dl');
    rows.forEach(function (pair) {
      list.appendChild(make('dt', pair[0]));
      list.appendChild(make('dd', pair[1]));
    });
    section.appendChild(list);
    return section;
  }
  function formula(finding) {
    var p = make('p', null, 'formula');
    if (!finding.scaled) {
      p.textContent = 'Scaling to 1000 W/m² has no meaning here.';
      return p;
    }
    var s = finding.scaled;
    p.append('ΔT at 1000 W/m² = ΔT · (1000 W/m² / G)');
    p.appendChild(make('sup', 'n'));
    p.append(' = ' + s.d + ' K · (1000 / ' + s.g + ')');
    p.appendChild(make('sup', s.n));
    p.append(' = ');
    p.appendChild(make('strong', s.d1000 + ' K'));
    p.appendChild(make('span', ' G: irradiance in the module plane as the module has felt it. ± is the half width of the 95 % interval; it holds those of ΔT, G and n.', 'quiet'));
    return p;
  }
  function figure(source, words, text) {
    var figureBox = make('figure');
    var image = make('img');
    image.alt = text;
    image.loading = 'lazy';
    image.addEventListener('error', function () {
      image.remove();
      figureBox.insertBefore(make('p', 'This picture lies in the result folder, not beside this page.', 'quiet'), figureBox.firstChild);
    });
    image.src = source;
    figureBox.appendChild(image);
    figureBox.appendChild(make('figcaption', words));
    return figureBox;
  }
  function pictures(finding) {
    var box = make('section', null, 'pictures');
    box.appendChild(make('h2', 'Frames used'));
    finding.pictures.forEach(function (picture) {
      box.appendChild(figure(picture.data || picture.file, picture.words, 'Thermal picture of ' + (finding.module || finding.string) + ' from ' + picture.frame));
    });
    if (finding.pictures.length && data.pictureScale) box.appendChild(pictureScale());
    box.appendChild(make('p', finding.frames, 'line'));
    if (finding.visible) box.appendChild(visible(finding));
    return box;
  }
  // In visible light, with the outline of the module.
  function visible(finding) {
    var picture = finding.visible;
    var box = make('figure', null, 'visible');
    var drawing = draw('svg', { viewBox: '0 0 ' + picture.width + ' ' + picture.height, role: 'img',
      'aria-label': 'Visible-light picture of ' + finding.module + ' from ' + picture.frame }, box);
    draw('image', { href: picture.data, width: picture.width, height: picture.height }, drawing);
    draw('polygon', { points: picture.outline }, drawing);
    box.appendChild(make('figcaption', 'In visible light: ' + picture.words + '.'));
    return box;
  }
  // The one colour scale of all thermal pictures.
  function pictureScale() {
    var bar = make('div', null, 'scale');
    bar.setAttribute('role', 'img');
    bar.setAttribute('aria-label', 'colour scale from ' + data.pictureScale.low + ' to ' + data.pictureScale.high);
    bar.appendChild(make('span', data.pictureScale.low));
    var strip = make('i');
    strip.style.background = 'linear-gradient(to right,' + data.pictureScale.colours.join(',') + ')';
    bar.appendChild(strip);
    bar.appendChild(make('span', data.pictureScale.high));
    return bar;
  }
  function history(finding) {
    var own = data.log.filter(function (entry) { return entry.finding === finding.id; });
    if (!own.length) return null;
    var list = make('ul', null, 'log');
    own.forEach(function (entry) { list.appendChild(make('li', entry.words)); });
    return list;
  }
  function reviewForm(finding) {
    var form = make('form', null, 'review');
    form.id = 'review-form';
    form.appendChild(make('h2', 'Review'));
    var set = make('fieldset');
    set.appendChild(make('legend', 'Verdict'));
    [['open', 'open'], ['confirmed', 'confirmed'], ['rejected', 'rejected']].forEach(function (pair) {
      var label = make('label', null, 'line');
      var radio = make('input');
      radio.type = 'radio';
      radio.name = 'decision';
      radio.value = pair[0];
      radio.checked = stand(finding).verdict === pair[0];
      label.append(radio, ' ' + pair[1]);
      set.appendChild(label);
    });
    form.appendChild(set);
    var patternLabel = make('label', 'Pattern');
    var pattern = make('select');
    pattern.id = 'decision-pattern';
    addOptions(pattern, Object.keys(data.patterns).map(function (name) {
      return [name, data.patterns[name] + (name === finding.patternName ? ' (as found)' : '')];
    }));
    pattern.value = stand(finding).pattern || finding.patternName;
    patternLabel.appendChild(pattern);
    form.appendChild(patternLabel);
    var commentLabel = make('label', 'Comment, or the reason for rejecting');
    var comment = make('textarea');
    comment.id = 'decision-comment';
    comment.rows = 3;
    comment.value = stand(finding).comment;
    commentLabel.appendChild(comment);
    form.appendChild(commentLabel);
    var workLabel = make('label', 'Work on it');
    var work = make('select');
    work.id = 'decision-work';
    addOptions(work, data.workStatuses.map(function (name) { return [name, name.replace('_', ' ')]; }));
    work.value = stand(finding).work;
    workLabel.appendChild(work);
    form.appendChild(workLabel);
    var note = make('p', null, 'line');
    note.id = 'decision-note';
    note.setAttribute('role', 'status');
    form.appendChild(note);
    var printed = make('p', null, 'print-only');
    form.appendChild(printed);
    function tell() {
      var own = decisions[finding.id];
      printed.textContent = 'Verdict: ' + verdictWords(finding) + (stand(finding).comment ? '. ' + stand(finding).comment : '.');
      note.textContent = !own ? 'Nothing decided here.' : missing(own) ? 'Still needs ' + missing(own) + '.' :
        'Kept in this browser. Hand it over under Review, “Save decisions”.';
    }
    form.addEventListener('submit', function (event) { event.preventDefault(); });
    form.addEventListener('input', function () {
      decide(finding, {
        verdict: form.querySelector('input[name=decision]:checked').value,
        pattern: pattern.value === finding.patternName ? '' : pattern.value,
        comment: comment.value.trim(),
        work: work.value
      });
      tell();
    });
    tell();
    var past = history(finding);
    if (past) { form.appendChild(make('h2', 'Decided before')); form.appendChild(past); }
    return form;
  }
  function steps(finding) {
    var nav = make('nav', null, 'steps');
    nav.setAttribute('aria-label', 'Findings');
    var at = listed.indexOf(finding);
    function step(words, target, id) {
      var a = target ? link(words, 'f' + target.rank) : make('span', words, 'quiet');
      a.id = id;
      nav.appendChild(a);
    }
    nav.appendChild(link('All findings', 'findings'));
    step('← Previous', at > 0 ? listed[at - 1] : null, 'previous');
    nav.appendChild(make('span', at < 0 ? 'not among those shown' : (at + 1) + ' of ' + listed.length + ' shown', 'quiet'));
    step('Next →', at >= 0 && at + 1 < listed.length ? listed[at + 1] : null, 'next');
    return nav;
  }
  function showFinding(rank, box) {
    var finding = data.findings[rank];
    box.appendChild(steps(finding));
    var head = make('h1');
    head.append(mark(finding['class']), ' ' + finding.headline);
    head.tabIndex = -1;
    box.appendChild(head);
    box.appendChild(make('p', finding.place, 'line quiet'));
    if (finding.candidates) box.appendChild(make('p', 'Not certain which module: it may also be ' + finding.candidates + '.', 'caution'));
    box.appendChild(make('p', finding.evidence, 'lead'));
    var todo = make('p', null, 'todo');
    todo.append(make('strong', 'To do: ' + finding.action + '. '), finding.advice);
    box.appendChild(todo);
    box.appendChild(formula(finding));
    var columns = make('div', null, 'columns');
    var left = make('div', null, 'numbers');
    finding.groups.slice(0, 2).forEach(function (part) { left.appendChild(group(part[0], part[1])); });
    columns.appendChild(left);
    var middle = make('div');
    if (finding.cells) {
      var chip = make('section', null, 'group');
      chip.appendChild(make('h2', 'Cells of the module'));
      chip.appendChild(moduleDrawing(finding));
      middle.appendChild(chip);
    }
    finding.groups.slice(2).forEach(function (part) { middle.appendChild(group(part[0], part[1])); });
    columns.appendChild(middle);
    var right = make('div');
    right.append(pictures(finding), reviewForm(finding));
    columns.appendChild(right);
    box.appendChild(columns);
    var section = make('section');
    section.appendChild(make('h2', 'String ribbon'));
    section.appendChild(link(data.strings[finding.section].heading, 's' + finding.section));
    var ribbon = make('div', null, 'drawing');
    ribbon.tabIndex = 0;
    section.appendChild(ribbon);
    box.appendChild(section);
    showRibbon(finding.section, ribbon);
    var legend = byId('legend').cloneNode(true);
    legend.removeAttribute('id');
    section.appendChild(legend);
    if (finding.tableFile) {
      var whole = make('section', null, 'table-picture');
      whole.appendChild(make('h2', 'Table ' + finding.table));
      whole.appendChild(figure(finding.tableFile, 'The table as photographed, laid flat; lines are the layout’s.', 'Temperatures of table ' + finding.table));
      box.appendChild(whole);
    }
    return head;
  }
