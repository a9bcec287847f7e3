import { expect, test } from 'vitest';
import { newBalance } from './balance.ts';
import { newLevelStart, solveLevels } from './boost-levels.ts';
import { demoCar } from './fixtures.testing.ts';
import { finishPoint, solveCase } from './point.ts';
import { prepare } from './prepare.ts';
import { sampledCars } from './sampling.ts';
import { boostTargetAbsolutePa, STANDARD_CONDITIONS, solverAt } from './steady.ts';

const SPEEDS_RPM = [2200, 3000, 3800, 4600, 5400, 6200];
// Up to where the compressor map ends: past it the match from nothing often does not settle.
const RAISED_PA = [-90e3, -50e3, -20e3, 0, 30e3, 60e3];

// Expected: the match's own way, one target at a time from nothing (solveCase); independent of the order of targets.
test.each(['otter-as-driven', 'wren-dozen-numbers'] as const)(
  'levels of boost are what the match gives at each target: %s',
  (name) => {
    const drawn = sampledCars(demoCar(name), 24, 5);
    let compared = 0;
    let apart = 0;
    const seen = new Set<string>();
    for (let index = 0; index < 24; index++) {
      const prepared = prepare(drawn.car(index), STANDARD_CONDITIONS);
      const balance = newBalance();
      const start = newLevelStart();
      for (const rpm of SPEEDS_RPM) {
        const target = boostTargetAbsolutePa(prepared, rpm, {});
        const targets = RAISED_PA.map((raised) => target + raised);
        const points = solveLevels(solverAt(prepared, rpm, {}, {}, balance), targets, start);
        targets.forEach((targetPa, level) => {
          const solver = solverAt(prepared, rpm);
          const alone = finishPoint(solver, solveCase(solver, targetPa), []);
          const point = points[level];
          compared += 1;
          seen.add(alone.case);
          expect(point?.boostTargetPa).toBeCloseTo(alone.boostTargetPa, 6);
          const close = (a: number, b: number) => Math.abs(a - b) <= 5e-4 * Math.abs(b);
          if (
            !point ||
            !close(point.manifoldPressurePa, alone.manifoldPressurePa) ||
            !close(point.powerW, alone.powerW) ||
            !close(point.shaftSpeedRpm, alone.shaftSpeedRpm) ||
            !close(point.exhaustPressurePa, alone.exhaustPressurePa)
          )
            apart += 1;
        });
      }
    }
    expect(compared).toBeGreaterThan(0.98 * 24 * SPEEDS_RPM.length * RAISED_PA.length);
    // In surge a shut wastegate can balance at two pressures, and past choke it ends at an edge: the ways may differ there.
    expect(apart / compared).toBeLessThan(0.01);
    expect([...seen].sort()).toEqual(['boost held', 'wastegate open', 'wastegate shut']);
  },
);
