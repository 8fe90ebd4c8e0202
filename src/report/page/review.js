  // The reviewer's decisions: kept in this browser, handed over as a file (docs/formats/decisions.md).
  var STORE = 'heatrow-review/' + data.survey;
  var decisions = {};  // finding id: { verdict, pattern, comment, work, reviewer, reviewed_utc }

  function keep() {
    try { localStorage.setItem(STORE, JSON.stringify(decisions)); } catch (blocked) { /* kept while the page is open */ }
    tellReview();
  }
  function recall() {
    try { decisions = JSON.parse(localStorage.getItem(STORE)) || {}; } catch (blocked) { decisions = {}; }
    Object.keys(decisions).forEach(function (id) { if (!findingOf(id)) delete decisions[id]; });
  }
  function findingOf(id) { return data.findings.find(function (finding) { return finding.id === id; }); }

  // What holds now: what was decided here, else what the record says.
  function stand(finding) {
    return decisions[finding.id] || finding.decision;
  }
  // Why a decision cannot be handed over yet; empty where it can.
  function missing(decision) {
    if (!decision.reviewer) return 'a reviewer’s name';
    if (decision.verdict === 'rejected' && !decision.comment) return 'the reason for rejecting';
    return '';
  }
  function decide(finding, change) {
    var now = stand(finding);
    var next = { verdict: now.verdict, pattern: now.pattern, comment: now.comment, work: now.work, reviewer: byId('reviewer').value.trim() };
    Object.keys(change).forEach(function (key) { next[key] = change[key]; });
    var before = finding.decision;
    if (next.verdict === before.verdict && next.pattern === before.pattern && next.comment === before.comment && next.work === before.work) {
      delete decisions[finding.id];
    } else {
      next.reviewed_utc = new Date().toISOString().slice(0, 19) + 'Z';
      decisions[finding.id] = next;
    }
    keep();
  }
  function verdictWords(finding) {
    var now = stand(finding);
    var words = now.verdict;
    if (now.verdict !== 'rejected' && now.pattern && now.pattern !== finding.patternName) {
      words = now.verdict === 'confirmed' ? 'confirmed, relabelled' : 'relabelled';
    }
    return now.work && now.work !== 'open' ? words + ', ' + now.work.replace('_', ' ') : words;
  }
  function tellReview() {
    var ids = Object.keys(decisions);
    var open = ids.filter(function (id) { return missing(decisions[id]); });
    var count = { open: 0, confirmed: 0, rejected: 0 };
    data.findings.forEach(function (finding) { ++count[stand(finding).verdict]; });
    byId('review-count').textContent = count.confirmed + ' confirmed, ' + count.rejected + ' rejected, ' + count.open +
      ' open; ' + ids.length + (ids.length === 1 ? ' decision' : ' decisions') + ' taken here' +
      (open.length ? ', ' + open.length + ' of them without ' + missing(decisions[open[0]]) : '') + '.';
    byId('export').disabled = ids.length === 0 || open.length > 0;
  }
  function decisionsText() {
    var list = Object.keys(decisions).sort().map(function (id) {
      var d = decisions[id];
      return { finding: id, verdict: d.verdict, pattern: d.pattern, comment: d.comment, work_status: d.work, reviewer: d.reviewer, reviewed_utc: d.reviewed_utc };
    });
    return JSON.stringify({ format: 'heatrow-decisions', format_version: 1, survey: data.survey, decisions: list }, null, 1) + '\n';
  }
  function save(name, text) {
    var a = make('a');
    a.href = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
    a.download = name;
    document.body.appendChild(a);
    a.click();
    a.remove();
  }
  function load(file) {
    file.text().then(function (text) {
      var read = JSON.parse(text);
      if (read.format !== 'heatrow-decisions' || read.survey !== data.survey) throw new Error('it is not a decisions file of this survey');
      read.decisions.forEach(function (d) {
        if (!findingOf(d.finding)) throw new Error('this report has no finding ' + d.finding);
        decisions[d.finding] = { verdict: d.verdict, pattern: d.pattern || '', comment: d.comment || '', work: d.work_status || 'open', reviewer: d.reviewer, reviewed_utc: d.reviewed_utc };
      });
      byId('review-note').textContent = read.decisions.length + ' decisions read from ' + file.name + '.';
      keep();
      show();
    }).catch(function (problem) { byId('review-note').textContent = 'Not read: ' + problem.message + '.'; });
  }
  function setUpReview() {
    recall();
    try { byId('reviewer').value = localStorage.getItem('heatrow-reviewer') || ''; } catch (blocked) { /* typed again */ }
    byId('reviewer').addEventListener('change', function () {
      var name = byId('reviewer').value.trim();
      try { localStorage.setItem('heatrow-reviewer', name); } catch (blocked) { /* as above */ }
      Object.keys(decisions).forEach(function (id) { if (!decisions[id].reviewer) decisions[id].reviewer = name; });
      keep();
    });
    byId('export').addEventListener('click', function () { save(data.survey.replace(/[^\w.-]+/g, '_') + '.decisions.json', decisionsText()); });
    byId('import').addEventListener('change', function () { if (byId('import').files[0]) load(byId('import').files[0]); byId('import').value = ''; });
    tellReview();
  }
