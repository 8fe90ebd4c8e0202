(function () {
  'use strict';
  var data = JSON.parse(document.getElementById('data').textContent);
  var SVG = 'http://www.w3.org/2000/svg';
  var DIGITS = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-_';

  function byId(id) { return document.getElementById(id); }
  function make(tag, text, className) {
    var element = document.createElement(tag);
    if (text !== undefined && text !== null) element.textContent = text;
    if (className) element.className = className;
    return element;
  }
  function signed(value, decimals) {
    if (value === null) return '–';
    var text = Math.abs(value).toFixed(decimals);
    if (Number(text) === 0) return text;
    return (value < 0 ? '−' : '+') + text;
  }
  function plusMinus(value, u95) {
    return signed(value, 1) + (value !== null && u95 !== null ? ' ± ' + u95.toFixed(1) : '');
  }

  // Cells: two digits to the base 64 each, tenths of a kelvin above -204.8 K; 4095 = unknown.
  function cellValue(module, cell) {
    var text = data.modules[module].cells;
    var code = DIGITS.indexOf(text[2 * cell]) * 64 + DIGITS.indexOf(text[2 * cell + 1]);
    return code === 4095 ? null : (code - 2048) / 10;
  }
  function stepOf(value) {
    var steps = data.colours.length;
    var step = Math.floor((value / data.limit + 1) / 2 * steps);
    return Math.max(0, Math.min(steps - 1, step));
  }
  function paint(group) {
    var module = Number(group.getAttribute('data-module'));
    var type = data.types[data.modules[module].type];
    var paths = {};
    var cells = type.rows.length * type.columns.length;
    for (var cell = 0; cell < cells; ++cell) {
      var value = cellValue(module, cell);
      var fill = value === null ? 'url(#hatch)' : data.colours[stepOf(value)];
      var column = type.columns[cell % type.columns.length];
      var row = type.rows[Math.floor(cell / type.columns.length)];
      paths[fill] = (paths[fill] || '') + 'M' + (column[0] + 0.004) + ' ' + (row[0] + 0.004) +
        'h' + (column[1] - 0.008) + 'v' + (row[1] - 0.008) + 'h' + (0.008 - column[1]) + 'z';
    }
    Object.keys(paths).forEach(function (fill) {
      var path = document.createElementNS(SVG, 'path');
      path.setAttribute('d', paths[fill]);
      path.setAttribute('fill', fill);
      group.appendChild(path);
    });
    group.classList.remove('cells');
    group.classList.add('painted');
  }
  function paintAll(root) {
    Array.prototype.forEach.call(root.querySelectorAll('g.cells'), paint);
  }
  var sections = document.querySelectorAll('section.string');
  var watcher = new IntersectionObserver(function (entries) {
    entries.forEach(function (entry) {
      if (entry.isIntersecting) {
        paintAll(entry.target);
        watcher.unobserve(entry.target);
      }
    });
  }, { rootMargin: '600px' });
  Array.prototype.forEach.call(sections, function (section) { watcher.observe(section); });
  window.addEventListener('beforeprint', function () { paintAll(document); });

  // The value under the pointer.
  var reading = byId('pointer');
  function readCell(event) {
    var group = event.target.closest ? event.target.closest('g.painted') : null;
    if (!group) { reading.hidden = true; return; }
    var module = data.modules[Number(group.getAttribute('data-module'))];
    var type = data.types[module.type];
    var at = new DOMPoint(event.clientX, event.clientY).matrixTransform(group.getScreenCTM().inverse());
    function find(spans, x) {
      for (var i = 0; i < spans.length; ++i) if (x >= spans[i][0] && x < spans[i][0] + spans[i][1]) return i;
      return -1;
    }
    var row = find(type.rows, at.y);
    var column = find(type.columns, at.x);
    if (row < 0 || column < 0) { reading.hidden = true; return; }
    var value = cellValue(Number(group.getAttribute('data-module')), row * type.columns.length + column);
    reading.textContent = module.id + '  r' + (row + 1) + 'c' + (column + 1) + '  ' +
      (value === null ? 'no value' : signed(value, 1) + ' K at 1000 W/m²');
    reading.hidden = false;
  }
  document.addEventListener('pointermove', readCell);

  // Findings: sort, filter, show.
  var COLUMNS = [
    { key: 'class', name: 'Class', first: 'descending' },
    { key: 'module', name: 'Module' },
    { key: 'string', name: 'String, position' },
    { key: 'pattern', name: 'Pattern' },
    { key: 'parts', name: 'Cells' },
    { key: 'd1000', name: 'ΔT at 1000 W/m², K', number: true, first: 'descending' },
    { key: 'd', name: 'ΔT as measured, K', number: true, first: 'descending' },
    { key: 'hot', name: 'Hot, °C', number: true, first: 'descending' },
    { key: 'frames', name: 'Frames', number: true, first: 'descending' }
  ];
  var order = { key: 'rank', direction: 'ascending' };
  var collator = new Intl.Collator('en', { numeric: true });
  var table = byId('finding-table');

  function mark(abnormality) {
    var svg = document.createElementNS(SVG, 'svg');
    svg.setAttribute('width', '20');
    svg.setAttribute('height', '20');
    svg.setAttribute('viewBox', '-10 -10 20 20');
    svg.setAttribute('role', 'img');
    svg.setAttribute('aria-label', 'class ' + abnormality);
    var use = document.createElementNS(SVG, 'use');
    use.setAttribute('href', '#mark-' + abnormality);
    svg.appendChild(use);
    return svg;
  }
  function compare(a, b) {
    var x = a[order.key];
    var y = b[order.key];
    if (x === y) return a.rank - b.rank;
    if (x === null) return 1;
    if (y === null) return -1;
    var result = typeof x === 'number' ? x - y : collator.compare(x, y);
    return order.direction === 'ascending' ? result : -result;
  }
  function headline(finding) {
    var row = make('tr');
    function cell(content, number) {
      var td = make('td', typeof content === 'string' ? content : null, number ? 'number' : '');
      if (typeof content !== 'string') content.forEach(function (part) { td.append(part); });
      row.appendChild(td);
    }
    cell([mark(finding['class'])]);
    var link = make('a', (finding.module || 'whole string') + (finding.candidates ? '\u00a0?' : ''));
    link.href = '#s' + finding.section;
    cell([link]);
    cell(finding.string + (finding.position ? ', ' + finding.position : ''));
    cell(finding.pattern + (finding.probability === null ? '' : ' (' + Math.round(100 * finding.probability) + ' %)'));
    cell(finding.parts);
    cell(plusMinus(finding.d1000, finding.d1000u), true);
    cell(plusMinus(finding.d, finding.du), true);
    cell(finding.hot === null ? '–' : finding.hot.toFixed(1), true);
    cell(String(finding.frames), true);
    return row;
  }
  function evidence(finding) {
    var row = make('tr', null, 'evidence');
    row.appendChild(make('td'));
    var td = make('td');
    if (finding.candidates) {
      td.appendChild(make('strong', 'Not certain which module: it may also be ' + finding.candidates + '. '));
    }
    td.append(finding.evidence + ' ');
    td.colSpan = COLUMNS.length - 1;
    var details = make('details');
    details.appendChild(make('summary', 'All numbers'));
    var list = make('dl');
    finding.numbers.forEach(function (pair) {
      var line = make('div');
      line.appendChild(make('dt', pair[0]));
      line.appendChild(make('dd', pair[1]));
      list.appendChild(line);
    });
    details.appendChild(list);
    td.appendChild(details);
    row.appendChild(td);
    return row;
  }
  function wanted() {
    var classes = {};
    Array.prototype.forEach.call(document.querySelectorAll('input[name=class]'), function (box) {
      classes[box.value] = box.checked;
    });
    var pattern = byId('pattern').value;
    var words = byId('search').value.toLowerCase().split(/\s+/).filter(Boolean);
    return data.findings.filter(function (finding) {
      var text = finding.text;
      return classes[finding['class']] && (!pattern || finding.pattern === pattern) &&
        words.every(function (word) { return text.indexOf(word) >= 0; });
    });
  }
  function show() {
    var list = wanted().sort(compare);
    Array.prototype.slice.call(table.tBodies).forEach(function (body) { body.remove(); });
    list.forEach(function (finding) {
      var body = make('tbody');
      body.id = 'f' + finding.rank;
      body.appendChild(headline(finding));
      body.appendChild(evidence(finding));
      table.appendChild(body);
    });
    byId('count').textContent = list.length + ' of ' + data.findings.length + ' findings shown';
    Array.prototype.forEach.call(table.tHead.rows[0].cells, function (cell, i) {
      if (COLUMNS[i].key === order.key) cell.setAttribute('aria-sort', order.direction);
      else cell.removeAttribute('aria-sort');
    });
  }
  function buildTable() {
    var head = table.createTHead().insertRow();
    COLUMNS.forEach(function (column) {
      var th = make('th', null, column.number ? 'number' : '');
      th.scope = 'col';
      var button = make('button', column.name);
      button.type = 'button';
      button.addEventListener('click', function () {
        var first = column.first || 'ascending';
        var other = first === 'ascending' ? 'descending' : 'ascending';
        order = { key: column.key, direction: order.key === column.key && order.direction === first ? other : first };
        show();
      });
      th.appendChild(button);
      head.appendChild(th);
    });
    var patterns = {};
    data.findings.forEach(function (finding, rank) {
      finding.rank = rank;
      patterns[finding.pattern] = true;
      finding.text = [finding.module, finding.candidates, finding.string, finding.pattern, finding.parts, finding.evidence, finding.id]
        .join(' ').toLowerCase();
    });
    Object.keys(patterns).sort().forEach(function (name) {
      var option = make('option', name);
      option.value = name;
      byId('pattern').appendChild(option);
    });
    byId('filters').addEventListener('input', show);
    byId('filters').addEventListener('submit', function (event) { event.preventDefault(); });
    byId('filters').addEventListener('reset', function () { setTimeout(show, 0); });
    show();
  }
  if (table) buildTable();

  // The plan: larger, smaller, moved by keys or by dragging.
  var map = document.querySelector('.map svg');
  if (map) {
    var whole = map.viewBox.baseVal;
    var full = [whole.x, whole.y, whole.width, whole.height];
    var view = full.slice();
    var apply = function () {
      view[2] = Math.min(view[2], full[2]);
      view[3] = Math.min(view[3], full[3]);
      view[0] = Math.max(full[0], Math.min(view[0], full[0] + full[2] - view[2]));
      view[1] = Math.max(full[1], Math.min(view[1], full[1] + full[3] - view[3]));
      map.setAttribute('viewBox', view.join(' '));
      var size = view[2] / full[2];
      Array.prototype.forEach.call(map.querySelectorAll('g.pin'), function (pin) {
        pin.setAttribute('transform', 'scale(' + size + ')');
      });
    };
    var zoom = function (factor, x, y) {
      var cx = x === undefined ? view[0] + view[2] / 2 : x;
      var cy = y === undefined ? view[1] + view[3] / 2 : y;
      factor = Math.max(factor, full[2] / 40 / view[2]);
      view = [cx - (cx - view[0]) * factor, cy - (cy - view[1]) * factor, view[2] * factor, view[3] * factor];
      apply();
    };
    byId('zoom-in').addEventListener('click', function () { zoom(1 / 1.5); });
    byId('zoom-out').addEventListener('click', function () { zoom(1.5); });
    byId('zoom-all').addEventListener('click', function () { view = full.slice(); apply(); });
    byId('plan-window').addEventListener('keydown', function (event) {
      var move = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (move) {
        view[0] += move[0] * view[2] / 8;
        view[1] += move[1] * view[3] / 8;
        apply();
      } else if (event.key === '+') zoom(1 / 1.5);
      else if (event.key === '-') zoom(1.5);
      else return;
      event.preventDefault();
    });
    map.addEventListener('wheel', function (event) {
      if (!event.ctrlKey) return;
      var at = new DOMPoint(event.clientX, event.clientY).matrixTransform(map.getScreenCTM().inverse());
      zoom(event.deltaY < 0 ? 1 / 1.25 : 1.25, at.x, at.y);
      event.preventDefault();
    }, { passive: false });
    var drag = null;
    map.addEventListener('pointerdown', function (event) { drag = [event.clientX, event.clientY]; });
    window.addEventListener('pointerup', function () { drag = null; });
    map.addEventListener('pointermove', function (event) {
      if (!drag || view[2] === full[2]) return;
      var scale = view[2] / map.clientWidth;
      view[0] -= (event.clientX - drag[0]) * scale;
      view[1] -= (event.clientY - drag[1]) * scale;
      drag = [event.clientX, event.clientY];
      apply();
    });
  }
}());
