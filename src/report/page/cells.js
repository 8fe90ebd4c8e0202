  // Cells of modules, painted by their difference at 1000 W/m2.
  var DIGITS = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-_';
  var shownCells = {};  // module index: { id, type, cells }

  // Two digits to the base 64 each, tenths of a kelvin above -204.8 K; 4095 = unknown.
  function cellValue(text, cell) {
    var code = DIGITS.indexOf(text[2 * cell]) * 64 + DIGITS.indexOf(text[2 * cell + 1]);
    return code === 4095 ? null : (code - 2048) / 10;
  }
  function stepOf(value) {
    var steps = data.colours.length;
    var step = Math.floor((value / data.limit + 1) / 2 * steps);
    return Math.max(0, Math.min(steps - 1, step));
  }
  function signed(value, decimals) {
    var text = Math.abs(value).toFixed(decimals);
    if (Number(text) === 0) return text;
    return (value < 0 ? '−' : '+') + text;
  }
  function paint(group) {
    var module = shownCells[group.getAttribute('data-module')];
    if (!module) return;
    var type = data.types[module.type];
    var paths = {};
    for (var cell = 0; cell < type.rows.length * type.columns.length; ++cell) {
      var value = cellValue(module.cells, cell);
      var fill = value === null ? 'url(#hatch)' : data.colours[stepOf(value)];
      var column = type.columns[cell % type.columns.length];
      var row = type.rows[Math.floor(cell / type.columns.length)];
      paths[fill] = (paths[fill] || '') + 'M' + (column[0] + 0.004) + ' ' + (row[0] + 0.004) +
        'h' + (column[1] - 0.008) + 'v' + (row[1] - 0.008) + 'h' + (0.008 - column[1]) + 'z';
    }
    Object.keys(paths).forEach(function (fill) { draw('path', { d: paths[fill], fill: fill }, group); });
    group.setAttribute('class', 'painted');
  }

  // The value under the pointer.
  var reading = byId('pointer');
  function readCell(event) {
    var group = event.target.closest ? event.target.closest('g.painted') : null;
    var module = group && shownCells[group.getAttribute('data-module')];
    if (!module) { reading.hidden = true; return; }
    var type = data.types[module.type];
    var at = new DOMPoint(event.clientX, event.clientY).matrixTransform(group.getScreenCTM().inverse());
    function find(spans, x) {
      for (var i = 0; i < spans.length; ++i) if (x >= spans[i][0] && x < spans[i][0] + spans[i][1]) return i;
      return -1;
    }
    var row = find(type.rows, at.y);
    var column = find(type.columns, at.x);
    if (row < 0 || column < 0) { reading.hidden = true; return; }
    var value = cellValue(module.cells, row * type.columns.length + column);
    reading.textContent = module.id + '  r' + (row + 1) + 'c' + (column + 1) + '  ' +
      (value === null ? 'no value' : signed(value, 1) + ' K at 1000 W/m²');
    reading.hidden = false;
  }
  document.addEventListener('pointermove', readCell);

  // One module large, the finding's cells outlined.
  function moduleDrawing(finding) {
    var type = data.types[finding.type];
    var scale = 150;  // px per metre
    var svg = draw('svg', {
      class: 'chip', role: 'img', width: (type.size[0] * scale + 6).toFixed(0), height: (type.size[1] * scale + 6).toFixed(0),
      viewBox: [-0.02, -0.02, type.size[0] + 0.04, type.size[1] + 0.04].join(' '),
      'aria-label': 'Module ' + finding.module + ', cells by their difference; outlined: ' + (finding.parts || 'the whole module')
    });
    draw('rect', { width: type.size[0], height: type.size[1], fill: '#fff', stroke: '#1c2330', 'stroke-width': 0.012 }, svg);
    shownCells[finding.index] = { id: finding.module, type: finding.type, cells: finding.cells };
    paint(draw('g', { class: 'cells', 'data-module': finding.index }, svg));
    finding.outlined.forEach(function (cell) {
      var column = type.columns[cell % type.columns.length];
      var row = type.rows[Math.floor(cell / type.columns.length)];
      draw('rect', { x: column[0], y: row[0], width: column[1], height: row[1], fill: 'none', stroke: '#fff', 'stroke-width': 0.03 }, svg);
    });
    finding.outlined.forEach(function (cell) {
      var column = type.columns[cell % type.columns.length];
      var row = type.rows[Math.floor(cell / type.columns.length)];
      draw('rect', { x: column[0], y: row[0], width: column[1], height: row[1], fill: 'none', stroke: '#1c2330', 'stroke-width': 0.014 }, svg);
    });
    return svg;
  }
