  // What the page shows, and how it is read.
  var data = JSON.parse(byId('data').textContent);
  var SVG = 'http://www.w3.org/2000/svg';

  function byId(id) { return document.getElementById(id); }
  function each(list, action) { Array.prototype.forEach.call(list, action); }
  function make(tag, text, className) {
    var element = document.createElement(tag);
    if (text !== undefined && text !== null) element.textContent = text;
    if (className) element.className = className;
    return element;
  }
  function draw(tag, attributes, parent) {
    var element = document.createElementNS(SVG, tag);
    Object.keys(attributes).forEach(function (name) { element.setAttribute(name, attributes[name]); });
    if (parent) parent.appendChild(element);
    return element;
  }
  function link(text, hash) {
    var a = make('a', text);
    a.href = '#' + hash;
    return a;
  }
  function mark(abnormality) {
    var svg = draw('svg', { width: 20, height: 20, viewBox: '-10 -10 20 20', role: 'img', 'aria-label': 'class ' + abnormality });
    draw('use', { href: '#mark-' + abnormality }, svg);
    return svg;
  }

  // Large parts lie deflated (zlib) and in base 64; a promise of their text.
  function unpack(packed) {
    if (typeof DecompressionStream === 'undefined') {
      return Promise.reject(new Error('This browser cannot unpack drawings; one of 2023 or later can.'));
    }
    var bytes = Uint8Array.from(atob(packed), function (c) { return c.charCodeAt(0); });
    return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate'))).text();
  }
  var ribbons = JSON.parse(byId('ribbons').textContent);
  var sitePacked = JSON.parse(byId('site-data').textContent);
