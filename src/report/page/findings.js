  // The table of findings: filtered, sorted, one row each.
  var COLUMNS = [
    { key: 'class', name: 'Class', first: 'descending' },
    { key: 'module', name: 'Module' },
    { key: 'string', name: 'String, position' },
    { key: 'pattern', name: 'Pattern' },
    { key: 'parts', name: 'Cells' },
    { key: 'd1000', name: 'ΔT at 1000 W/m², K', number: true, first: 'descending' },
    { key: 'd', name: 'ΔT as measured, K', number: true, first: 'descending' },
    { key: 'hot', name: 'Hot, °C', number: true, first: 'descending' },
    { key: 'flags', name: 'Flags' },
    { key: 'verdict', name: 'Review' }
  ];
  var order = { key: 'rank', direction: 'ascending' };
  var collator = new Intl.Collator('en', { numeric: true });
  var table = byId('finding-table');
  var listed = data.findings;  // those shown, in their order: what next and previous go through

  function sortKey(finding, key) { return key === 'verdict' ? verdictWords(finding) : finding[key]; }
  function compare(a, b) {
    var x = sortKey(a, order.key);
    var y = sortKey(b, order.key);
    if (x === y) return a.rank - b.rank;
    if (x === null) return 1;
    if (y === null) return -1;
    var result = typeof x === 'number' ? x - y : collator.compare(x, y);
    return order.direction === 'ascending' ? result : -result;
  }
  function row(finding) {
    var tr = make('tr');
    tr.id = 'row-' + finding.rank;
    function cell(content, className) {
      var td = make('td', typeof content === 'string' ? content : null, className);
      if (typeof content !== 'string') td.appendChild(content);
      tr.appendChild(td);
    }
    cell(mark(finding['class']));
    cell(link((finding.module || 'whole string') + (finding.candidates ? '\u00a0?' : ''), 'f' + finding.rank));
    cell(finding.string + (finding.position ? ', ' + finding.position : ''));
    cell(finding.pattern + (finding.probability === null ? '' : ' (' + finding.probability + ' %)'));
    cell(finding.parts);
    cell(finding.d1000Text, 'number');
    cell(finding.dText, 'number');
    cell(finding.hotText, 'number');
    cell(finding.flags, 'quiet');
    var words = verdictWords(finding);
    cell((decisions[finding.id] ? '• ' : '') + words, 'verdict ' + stand(finding).verdict);
    return tr;
  }
  function wanted() {
    var classes = {};
    each(document.querySelectorAll('input[name=class]'), function (box) { classes[box.value] = box.checked; });
    var pattern = byId('pattern').value;
    var string = byId('string').value.trim();
    var flag = byId('flag').value;
    var verdict = byId('verdict').value;
    var words = byId('search').value.toLowerCase().split(/\s+/).filter(Boolean);
    return data.findings.filter(function (finding) {
      return classes[finding['class']] && (!pattern || finding.patternName === pattern) &&
        (!string || finding.string === string) && (!flag || finding.flags.split(', ').indexOf(flag) >= 0) &&
        (!verdict || verdict === (decisions[finding.id] ? 'here' : '') || stand(finding).verdict === verdict) &&
        words.every(function (word) { return finding.text.indexOf(word) >= 0; });
    });
  }
  function show() {
    listed = wanted().sort(compare);
    var body = make('tbody');
    listed.forEach(function (finding) { body.appendChild(row(finding)); });
    table.replaceChild(body, table.tBodies[0]);
    byId('count').textContent = listed.length + ' of ' + data.findings.length + ' findings shown';
    each(table.tHead.rows[0].cells, function (cell, i) {
      if (COLUMNS[i].key === order.key) cell.setAttribute('aria-sort', order.direction);
      else cell.removeAttribute('aria-sort');
    });
    if (typeof redrawMarks === 'function') redrawMarks();
  }
  function addOptions(select, values) {
    values.forEach(function (value) {
      var option = make('option', value[1]);
      option.value = value[0];
      select.appendChild(option);
    });
  }
  function unique(values) {
    return values.filter(function (value, i) { return value && values.indexOf(value) === i; }).sort(collator.compare);
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
    table.appendChild(make('tbody'));
    addOptions(byId('pattern'), unique(data.findings.map(function (f) { return f.patternName; })).map(function (name) {
      return [name, data.patterns[name]];
    }));
    addOptions(byId('flag'), unique([].concat.apply([], data.findings.map(function (f) { return f.flags.split(', '); }))).map(function (f) {
      return [f, f];
    }));
    addOptions(byId('string-names'), unique(data.findings.map(function (f) { return f.string; })).slice(0, 500).map(function (s) {
      return [s, s];
    }));
    byId('filters').addEventListener('input', show);
    byId('filters').addEventListener('submit', function (event) { event.preventDefault(); });
    byId('filters').addEventListener('reset', function () { setTimeout(show, 0); });
    show();
  }
  data.findings.forEach(function (finding, rank) {
    finding.rank = rank;
    finding.text = [finding.module, finding.candidates, finding.string, finding.table, finding.pattern, finding.parts,
      finding.evidence, finding.id].join(' ').toLowerCase();
  });
