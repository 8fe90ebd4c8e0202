  // The site: Leaflet on a plane in metres. Modules are drawn into canvas tiles by hand, since an object for each of 60,000
  // is slow; far out only tables are drawn.
  var CLASS_FILL = { 1: '#a9c3c1', 2: '#e69f00', 3: '#d55e00' };
  var map = null;
  var redrawMarks = null;

  function prepareSite(site) {
    var count = site.state.length;
    var x = 0;
    var y = 0;
    site.corners = new Float64Array(8 * count);
    site.grid = {};
    for (var i = 0; i < count; ++i) {
      x += site.xy[8 * i];
      y += site.xy[8 * i + 1];
      for (var k = 0; k < 4; ++k) {
        site.corners[8 * i + 2 * k] = (x + (k ? site.xy[8 * i + 2 * k] : 0)) / 100;
        site.corners[8 * i + 2 * k + 1] = (y + (k ? site.xy[8 * i + 2 * k + 1] : 0)) / 100;
      }
    }
    site.tableBox = site.tables.map(function () { return [Infinity, Infinity, -Infinity, -Infinity]; });
    site.bounds = [Infinity, Infinity, -Infinity, -Infinity];
    for (i = 0; i < count; ++i) {
      var box = boxOf(site, i);
      widen(site.bounds, box);
      if (site.table[i] >= 0) widen(site.tableBox[site.table[i]], box);
      eachBin(box, function (bin) { (site.grid[bin] = site.grid[bin] || []).push(i); });
    }
    return site;
  }
  function boxOf(site, i) {
    var c = site.corners;
    var box = [Infinity, Infinity, -Infinity, -Infinity];
    for (var k = 0; k < 4; ++k) widen(box, [c[8 * i + 2 * k], c[8 * i + 2 * k + 1], c[8 * i + 2 * k], c[8 * i + 2 * k + 1]]);
    return box;
  }
  function widen(box, other) {
    box[0] = Math.min(box[0], other[0]);
    box[1] = Math.min(box[1], other[1]);
    box[2] = Math.max(box[2], other[2]);
    box[3] = Math.max(box[3], other[3]);
  }
  var BIN = 20;  // m
  function eachBin(box, action) {
    for (var bx = Math.floor(box[0] / BIN); bx <= Math.floor(box[2] / BIN); ++bx)
      for (var by = Math.floor(box[1] / BIN); by <= Math.floor(box[3] / BIN); ++by) action(bx + ' ' + by);
  }
  function modulesIn(site, box) {
    var seen = {};
    var list = [];
    eachBin(box, function (bin) {
      (site.grid[bin] || []).forEach(function (i) { if (!seen[i]) { seen[i] = true; list.push(i); } });
    });
    return list;
  }
  function moduleAt(site, x, y) {
    return modulesIn(site, [x, y, x, y]).find(function (i) {
      var sign = 0;
      for (var k = 0; k < 4; ++k) {
        var a = 8 * i + 2 * k;
        var b = 8 * i + 2 * ((k + 1) % 4);
        var cross = (site.corners[b] - site.corners[a]) * (y - site.corners[a + 1]) -
          (site.corners[b + 1] - site.corners[a + 1]) * (x - site.corners[a]);
        if (sign * cross < 0) return false;
        sign = cross || sign;
      }
      return true;
    });
  }
  // Diagonal strokes for what was not assessed: never a plain colour that could be read as healthy.
  function hatchOf(context) {
    var tile = document.createElement('canvas');
    tile.width = tile.height = 6;
    var pen = tile.getContext('2d');
    pen.fillStyle = '#ffffff';
    pen.fillRect(0, 0, 6, 6);
    pen.strokeStyle = '#5d6673';
    pen.lineWidth = 1.4;
    pen.beginPath();
    [-6, 0, 6].forEach(function (x) { pen.moveTo(x, 6); pen.lineTo(x + 6, 0); });
    pen.stroke();
    return context.createPattern(tile, 'repeat');
  }
  function fillOf(state, hatch) {
    return state <= 3 ? CLASS_FILL[state] : hatch;
  }

  // What one tile shows: metres to pixels, with room around it for what crosses its edge.
  function tileView(layer, coords, margin) {
    var size = layer.getTileSize();
    var scale = layer._map.options.crs.scale(coords.z);
    var left = coords.x * size.x / scale;
    var top = -coords.y * size.y / scale;
    return {
      scale: scale,
      box: [left - margin / scale, top - (size.y + margin) / scale, left + (size.x + margin) / scale, top + margin / scale],
      px: function (x) { return (x - left) * scale; },
      py: function (y) { return (top - y) * scale; }
    };
  }
  function tileCanvas(layer) {
    var size = layer.getTileSize();
    var ratio = window.devicePixelRatio || 1;
    var canvas = document.createElement('canvas');
    canvas.width = size.x * ratio;
    canvas.height = size.y * ratio;
    canvas.getContext('2d').scale(ratio, ratio);
    return canvas;
  }
  var DETAIL_SCALE = 4;  // px per metre from which modules are told apart

  function drawModules(site, context, view, hatch) {
    var groups = {};
    modulesIn(site, view.box).forEach(function (i) { (groups[site.state[i]] = groups[site.state[i]] || []).push(i); });
    Object.keys(groups).forEach(function (state) {
      context.fillStyle = fillOf(Number(state), hatch);
      context.beginPath();
      groups[state].forEach(function (i) {
        for (var k = 0; k < 4; ++k) {
          var x = view.px(site.corners[8 * i + 2 * k]);
          var y = view.py(site.corners[8 * i + 2 * k + 1]);
          if (k) context.lineTo(x, y); else context.moveTo(x, y);
        }
        context.closePath();
      });
      context.fill();
      context.lineWidth = view.scale > 12 ? 1 : 0.5;
      context.strokeStyle = view.scale > 12 ? '#5d6673' : '#ffffff';
      context.stroke();
    });
  }
  function drawTables(site, context, view) {
    site.tableBox.forEach(function (box) {
      if (box[2] < view.box[0] || box[0] > view.box[2] || box[3] < view.box[1] || box[1] > view.box[3]) return;
      context.fillStyle = CLASS_FILL[1];
      context.fillRect(view.px(box[0]), view.py(box[3]), Math.max(1, (box[2] - box[0]) * view.scale), Math.max(1, (box[3] - box[1]) * view.scale));
    });
    // What is not healthy is shown from afar too.
    site.special.forEach(function (i) {
      var box = boxOf(site, i);
      if (box[2] < view.box[0] || box[0] > view.box[2] || box[3] < view.box[1] || box[1] > view.box[3]) return;
      context.fillStyle = site.state[i] <= 3 ? CLASS_FILL[site.state[i]] : '#8b8f94';
      context.fillRect(view.px(box[0]), view.py(box[3]), Math.max(1, (box[2] - box[0]) * view.scale), Math.max(1, (box[3] - box[1]) * view.scale));
    });
  }
  function drawIds(site, context, view) {
    context.fillStyle = '#1c2330';
    context.textAlign = 'center';
    context.textBaseline = 'middle';
    context.font = '10px system-ui, "DejaVu Sans", sans-serif';
    modulesIn(site, view.box).forEach(function (i) {
      var box = boxOf(site, i);
      if (context.measureText(site.ids[i]).width < (box[2] - box[0]) * view.scale - 4) {
        context.fillText(site.ids[i], view.px((box[0] + box[2]) / 2), view.py(box[1]) - 8);  // marks are further up
      }
    });
  }
  var SHAPES = {
    1: { path: 'M-7 0a7 7 0 1 0 14 0a7 7 0 1 0-14 0z', fill: '#56b4e9', ink: '#1c2330', dy: 0 },
    2: { path: 'M0-9L9 7H-9z', fill: '#e69f00', ink: '#1c2330', dy: 2 },
    3: { path: 'M0-9.5L9.5 0L0 9.5L-9.5 0z', fill: '#d55e00', ink: '#ffffff', dy: 0 }
  };
  function drawMark(context, finding, x, y, size) {
    var shape = SHAPES[finding['class']];
    context.save();
    context.translate(x, y);
    context.scale(size, size);
    var path = new Path2D(shape.path);
    context.lineJoin = 'round';
    context.strokeStyle = '#ffffff';  // stands out from a module of its own colour
    context.lineWidth = 5;
    context.stroke(path);
    context.fillStyle = shape.fill;
    context.strokeStyle = '#1c2330';
    context.lineWidth = 1.2;
    context.fill(path);
    context.stroke(path);
    if (size > 0.6) {
      context.fillStyle = shape.ink;
      context.font = 'bold 10px system-ui, "DejaVu Sans", sans-serif';
      context.textAlign = 'center';
      context.textBaseline = 'middle';
      context.fillText(finding['class'], 0, shape.dy);
    }
    context.restore();
  }
  function markSize(scale) { return scale < 1 ? 0.45 : scale < 3 ? 0.75 : 1; }

  function tileLayer(paintTile) {
    var Layer = L.GridLayer.extend({
      createTile: function (coords) {
        var canvas = tileCanvas(this);
        paintTile(this, coords, canvas.getContext('2d'));
        return canvas;
      }
    });
    return new Layer({ tileSize: 512, minZoom: -20, maxZoom: 20, updateWhenZooming: false, keepBuffer: 1 });
  }
  function placedFindings(box) {
    return listed.filter(function (f) { return f.xy && stand(f).verdict !== 'rejected' && f.xy[0] >= box[0] && f.xy[0] <= box[2] && f.xy[1] >= box[1] && f.xy[1] <= box[3]; });
  }
  function nearestFinding(x, y, scale) {
    var reach = 12 * markSize(scale) / scale;
    var best = null;
    placedFindings([x - reach, y - reach, x + reach, y + reach]).forEach(function (f) {
      var distance = Math.hypot(f.xy[0] - x, f.xy[1] - y);
      if (!best || distance < best.distance) best = { distance: distance, finding: f };
    });
    return best && best.finding;
  }
  var STATES = { 1: 'assessed, no abnormality', 2: 'class 2', 3: 'class 3', 4: 'not assessed', 5: 'may be another module', 6: 'not seen' };
  function tellModule(site, i) {
    var text = site.ids[i];
    if (site.string[i] >= 0) text += ' · ' + data.strings[site.string[i]].heading + (site.position[i] ? ', position ' + site.position[i] : '');
    return text + ' · ' + STATES[site.state[i]];
  }

  function showSite(site) {
    prepareSite(site);
    site.special = [];
    for (var i = 0; i < site.state.length; ++i) if (site.state[i] !== 1) site.special.push(i);
    var frame = byId('map');
    var shape = (site.bounds[3] - site.bounds[1]) / Math.max(1, site.bounds[2] - site.bounds[0]);
    frame.style.height = Math.round(Math.max(240, Math.min(window.innerHeight * 0.7, frame.clientWidth * shape + 60))) + 'px';
    map = L.map(frame, {
      crs: L.CRS.Simple, attributionControl: false, zoomControl: false, zoomSnap: 0.25, zoomDelta: 1, minZoom: -12, maxZoom: 7,
      scrollWheelZoom: false, inertia: false, fadeAnimation: false, zoomAnimation: false
    });
    var bounds = L.latLngBounds([site.bounds[1], site.bounds[0]], [site.bounds[3], site.bounds[2]]);
    map.fitBounds(bounds, { padding: [16, 16] });
    map.setMaxBounds(bounds.pad(0.5));
    map.setMinZoom(map.getZoom() - 0.5);
    var hatch = null;
    tileLayer(function (layer, coords, context) {
      var view = tileView(layer, coords, 2);
      hatch = hatch || hatchOf(context);
      if (view.scale >= DETAIL_SCALE || site.state.length <= 4000) drawModules(site, context, view, hatch);
      else drawTables(site, context, view);
      if (view.scale >= 40) drawIds(site, context, view);
    }).addTo(map);
    var marks = tileLayer(function (layer, coords, context) {
      var view = tileView(layer, coords, 12);
      placedFindings(view.box).reverse().forEach(function (f) { drawMark(context, f, view.px(f.xy[0]), view.py(f.xy[1]), markSize(view.scale)); });
    });
    marks.addTo(map);
    redrawMarks = function () { marks.redraw(); };
    L.control.scale({ imperial: false }).addTo(map);

    var told = byId('map-told');
    function at(event) {
      var scale = map.options.crs.scale(map.getZoom());
      return { finding: nearestFinding(event.latlng.lng, event.latlng.lat, scale), module: moduleAt(site, event.latlng.lng, event.latlng.lat) };
    }
    map.on('mousemove', function (event) {
      var here = at(event);
      told.textContent = here.finding ? here.finding.headline : here.module !== undefined ? tellModule(site, here.module) : '\u00a0';
      frame.style.cursor = here.finding || here.module !== undefined ? 'pointer' : '';
    });
    map.on('click', function (event) {
      var here = at(event);
      if (here.finding) location.hash = 'f' + here.finding.rank;
      else if (here.module !== undefined && site.string[here.module] >= 0) location.hash = 's' + site.string[here.module];
    });
    frame.addEventListener('wheel', function (event) {
      if (!event.ctrlKey) return;
      map.setZoomAround(map.mouseEventToContainerPoint(event), map.getZoom() + (event.deltaY < 0 ? 0.5 : -0.5));
      event.preventDefault();
    }, { passive: false });
    byId('zoom-in').addEventListener('click', function () { map.zoomIn(1); });
    byId('zoom-out').addEventListener('click', function () { map.zoomOut(1); });
    byId('zoom-all').addEventListener('click', function () { map.fitBounds(bounds, { padding: [16, 16] }); });
    window.addEventListener('beforeprint', function () { map.invalidateSize(); });
    document.documentElement.setAttribute('data-map', 'ready');
  }
  function buildMap() {
    unpack(sitePacked).then(function (text) { showSite(JSON.parse(text)); }).catch(function (problem) {
      byId('map-told').textContent = problem.message;
    });
  }
