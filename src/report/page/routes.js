  // The page is either the overview or one finding (#f3) or one string (#s2).
  var overview = byId('overview');
  var detail = byId('detail');

  function route() {
    var asked = /^#([fs])(\d+)$/.exec(location.hash);
    var number = asked ? Number(asked[2]) : -1;
    var known = asked && number < (asked[1] === 'f' ? data.findings : data.strings).length;
    reading.hidden = true;
    detail.textContent = '';
    detail.hidden = !known;
    overview.hidden = known;
    if (known) {
      var head = asked[1] === 'f' ? showFinding(number, detail) : showString(number, detail);
      document.title = head.textContent + ' · ' + data.title;
      window.scrollTo(0, 0);
      head.focus({ preventScroll: true });
      return;
    }
    document.title = data.title;
    if (table) show();
    tellReview();
    var target = location.hash.length > 1 && document.getElementById(location.hash.slice(1));
    if (target) target.scrollIntoView();
    if (map) map.invalidateSize();
  }

  // Keys, listed under "How to read this". They can be switched off: a speech user's words must not trigger them.
  function useKey(event) {
    if (event.ctrlKey || event.altKey || event.metaKey || !byId('keys').checked) return;
    if (/^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName) && event.target.type !== 'checkbox' && event.target.type !== 'radio') return;
    var form = byId('review-form');
    function choose(verdict) {
      var radio = form && form.querySelector('input[value=' + verdict + ']');
      if (!radio) return false;
      radio.checked = true;
      radio.dispatchEvent(new Event('input', { bubbles: true }));
      if (verdict === 'rejected') byId('decision-comment').focus();
      return true;
    }
    function follow(id) {
      var a = byId(id);
      if (a && a.href) location.hash = a.hash;
      return Boolean(a);
    }
    var done = {
      n: function () { return follow('next'); },
      p: function () { return follow('previous'); },
      c: function () { return choose('confirmed'); },
      r: function () { return choose('rejected'); },
      o: function () { return choose('open'); },
      l: function () { location.hash = 'findings'; return true; },
      m: function () { location.hash = 'plan'; return true; },
      '/': function () { if (detail.hidden && byId('search')) byId('search').focus(); return detail.hidden; }
    }[event.key];
    if (done && done()) event.preventDefault();
  }

  setUpReview();
  if (table) buildTable();
  buildMap();
  window.addEventListener('hashchange', route);
  document.addEventListener('keydown', useKey);
  route();
