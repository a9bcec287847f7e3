/** Imports and confirms invented runs until it is killed, and says after each step what it was told is kept. */
import { readFileSync } from 'node:fs';
import { parseBuild } from '../car/index.ts';
import { openGarage } from './index.ts';

const folder = process.argv[2] ?? '';
const read = parseBuild(readFileSync('data/demo/builds/wren-dozen-numbers.json', 'utf8'));
if (!read.ok) throw new Error('the demo build sheet is not readable');
const garage = openGarage(folder);
const car = garage.addCar({ name: 'Endless' });
const build = garage.addBuild({ carId: car.id, label: 'x', planned: false, parentId: null, sheet: read.build });
for (let n = 1; ; n += 1) {
  const run = garage.addRun({
    carId: car.id,
    buildId: build.id,
    fileName: `${n}.csv`,
    bytes: new TextEncoder().encode(`time,lambda\n${n}\n`.repeat(20_000)),
    assumedRateHz: null,
    durationS: n,
    headers: ['time', 'lambda'],
  });
  process.stdout.write(`added ${run.id}\n`);
  const readings = 1000 * n;
  const confirmed = await garage.confirmRun(run.id, {
    choices: [],
    remember: true,
    series: [
      {
        channel: 'lambda',
        timesS: Float64Array.from({ length: readings }, (_, i) => i),
        values: Float64Array.from({ length: readings }, (_, i) => Math.sin(i * n)),
      },
    ],
    review: { n },
    reviewVersion: '1',
    pulls: { version: '1', pulls: [] },
  });
  process.stdout.write(`confirmed ${confirmed?.id} ${readings}\n`);
}
