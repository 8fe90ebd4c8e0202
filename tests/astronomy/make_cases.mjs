// Makes tests/reference/sun_astronomy.ref: the sun at 1,000 random times and places by a general astronomy library.
//
//   npm install astronomy-engine@2.1.19      (in a folder of your own)
//   node make_cases.mjs > ../reference/sun_astronomy.ref
//
// Node looks for the library in node_modules beside this file or above it; NODE_PATH does not reach ES modules, so run
// it from a copy where the library was installed somewhere else. The output depends on the library's version only.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);
const Astronomy = require('astronomy-engine');
const { version } = JSON.parse(
    readFileSync(require.resolve('astronomy-engine').replace(/astronomy-engine\/.*$/, 'astronomy-engine/package.json')));

// Minimal standard generator (Park & Miller 1988), so that the cases are the same everywhere.
let state = 20261125;
const uniform = () => (state = (state * 48271) % 2147483647) / 2147483647;

const lines = [];
for (let i = 0; i < 1000; ++i) {
    // 1990 to 2050, to the full second
    const seconds = Math.floor(631152000 + uniform() * (2524608000 - 631152000));
    const date = new Date(seconds * 1000);
    // even over the sphere
    const latitude = +(Math.asin(2 * uniform() - 1) * 180 / Math.PI).toFixed(4);
    const longitude = +(360 * uniform() - 180).toFixed(4);
    const height = Math.round(3000 * uniform());
    const observer = new Astronomy.Observer(latitude, longitude, height);
    const equator = Astronomy.Equator(Astronomy.Body.Sun, date, observer, true, true);
    const horizon = Astronomy.Horizon(date, observer, equator.ra, equator.dec);  // no refraction
    const stamp = [date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate(), date.getUTCHours(),
                   date.getUTCMinutes(), date.getUTCSeconds()];
    lines.push(`accept ${stamp.join(' ')} ${latitude} ${longitude} ${height} ` +
               `${horizon.azimuth.toFixed(6)} ${horizon.altitude.toFixed(6)}`);
    lines.push('expect 0');
}

console.log(`# The sun at 1,000 random times and places, without refraction. Made by tests/astronomy/make_cases.mjs.
# accept: year month day hour minute second (UTC) latitude longitude height, then azimuth and elevation by the library.
# Expected: no distance in the sky, degrees. The requirement is 1 arcminute (0.0167 deg). The two differ by
# 0.00019 deg at the median and 0.00055 deg at most (2 arcseconds; the estimates of delta T alone make 0.0003 deg by
# 2050); the tolerance keeps it so.

source astronomy-engine ${version} (npm)
flag V1
operation sun_distance
tolerance 0.001
${lines.join('\n')}`);
