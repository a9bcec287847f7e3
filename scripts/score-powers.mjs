// node scripts/score-powers.mjs [FOLDER OF LABELLED LOGS]: the three powers against the labelled logs (../shared/logs): how often the bands hold the truth, how wide
// they are, by way, corpus, car, clean and faulty; and with the one fitted number fitted on the other cars.
import { existsSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { builtinModules } from 'node:module';
import { join } from 'node:path';
import { buildFromToldCar } from './labelled-build.mjs';
import { bundled } from './seeded-checks.mjs';
import { ensureDependencies, ROOT } from './setup.mjs';

ensureDependencies();
const file = join(ROOT, `.score-powers-${process.pid}.mjs`);
const program = await bundled('review/power/labelled-powers.testing.ts', file, {
  external: (id) => builtinModules.includes(id) || id.startsWith('node:'),
  treeshake: { moduleSideEffects: false },
});
let core;
try {
  core = await import(program);
} finally {
  rmSync(file, { force: true });
}
const { BELIEF, labelledPoints, powerScore, surprise, WAYS } = core;

const folder = process.argv[2] ?? join(ROOT, '..', 'shared', 'logs');
if (!existsSync(join(folder, 'each'))) {
  process.stderr.write(`There are no labelled logs in ${folder}.\n`);
  process.exit(2);
}
const files = {
  labels: (set) => readdirSync(join(folder, set)).filter((name) => name.endsWith('.truth.json')),
  bytes: (set, path) => readFileSync(join(folder, set, path)),
  build: buildFromToldCar,
};
const SHARES = [0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.9, 1];
const all = labelledPoints(
  files,
  SHARES.map((share) => ({ share, worth: BELIEF.worth })),
);
const told = all.filter(({ share }) => share === BELIEF.share);

const percent = (value, digits = 1) => (100 * value).toFixed(digits);
const signed = (value) => `${value > 0 ? '+' : ''}${percent(value)}`;
const row = (what, points) => {
  if (points.length === 0) return;
  const { points: count, logs, inside, bias, medianError, rms, normalised, width } = powerScore(points);
  const cells = [
    what,
    `${count} of ${logs}`,
    `${percent(inside, 0)} %`,
    signed(bias),
    percent(medianError),
    percent(rms),
    normalised.toFixed(2),
    percent(width),
  ];
  process.stdout.write(`| ${cells.join(' | ')} |\n`);
};
const head = () =>
  process.stdout.write(
    '| | points of logs | inside p10-p90 | bias % | median error % | rms % | error over sd, rms | width % |\n|---|---|---|---|---|---|---|---|\n',
  );

head();
for (const way of WAYS) {
  const own = told.filter((point) => point.way === way);
  row(`**${way}**, all`, own);
  for (const set of new Set(own.map((point) => point.set))) {
    row(
      `${way}, \`${set}\``,
      own.filter((point) => point.set === set),
    );
  }
  row(
    `${way}, clean logs`,
    own.filter(({ clean }) => clean),
  );
  row(
    `${way}, faulty logs`,
    own.filter(({ clean }) => !clean),
  );
  for (const car of [...new Set(own.map((point) => point.car))].sort()) {
    row(
      `${way}, ${car}`,
      own.filter((point) => point.car === car),
    );
  }
}

const combined = all.filter(({ way }) => way === 'combined');
const bestShare = (points) =>
  SHARES.map((share) => ({ share, value: surprise(points.filter((point) => point.share === share)) })).reduce((a, b) =>
    b.value < a.value ? b : a,
  ).share;
process.stdout.write('\nOne car left out: share fitted on the others, then told of the one.\n\n');
head();
const held = [...new Set(combined.map(({ car }) => car))].sort().flatMap((car) => {
  const share = bestShare(combined.filter((point) => point.car !== car));
  const out = combined.filter((point) => point.car === car && point.share === share);
  row(`${car} at ${share}`, out);
  return out;
});
row('all of them', held);
process.stdout.write(`\nShare that is likeliest on all of them: ${bestShare(combined)}\n`);
