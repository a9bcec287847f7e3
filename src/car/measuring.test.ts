import { expect, test } from 'vitest';
import otter from '../../data/demo/builds/otter-as-driven.json' with { type: 'json' };
import { checkBuild, FIELD_PLACES, MEASURING, resolveBuild } from './index.ts';

test('every entry is an input of the model, and says how with a verb first', () => {
  const read = checkBuild(otter);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const known = new Set([
    ...FIELD_PLACES.map(({ group, name }) => `${group}.${name}`),
    ...resolveBuild(read.build).inputs.map(({ path }) => path),
    'targets.sparkAdvance',
  ]);
  expect(Object.keys(MEASURING).filter((path) => !known.has(path))).toEqual([]);
  for (const { name, how } of Object.values(MEASURING)) {
    expect(name).toMatch(/^[a-z]/);
    expect(how).toMatch(/^[A-Z].*\.$/);
  }
});

test('what takes a test cell or only logs can teach is not asked of anybody', () => {
  for (const path of [
    'engine.indicatedEfficiency',
    'engine.frictionPressure',
    'turbocharger.turbineEfficiency',
    'turbocharger.compressorMap.efficiency',
    'learned.torque',
    'fuel.lowerHeatingValue',
  ]) {
    expect(Object.keys(MEASURING)).not.toContain(path);
  }
});

test('work on fuel under pressure, methanol and full-throttle pulls carries its caution', () => {
  for (const [path, { how }] of Object.entries(MEASURING)) {
    if (/^fuel(System)?\./.test(path)) expect(how).toMatch(/Relieve the pressure/);
    if (/pull|near the rev limit/.test(how) && path !== 'engine.shiftSpeed')
      expect(how).toMatch(/closed road|free air/);
  }
  expect(MEASURING['injection.methanolMassFraction']?.how).toMatch(/poisonous/);
});
