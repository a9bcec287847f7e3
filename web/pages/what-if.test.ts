/** What if: moved numbers against the match itself, against physics' direction, and against the sheet that is kept. */
import { describe, expect, it } from 'vitest';
import otter from '../../data/demo/builds/otter-as-driven.json' with { type: 'json' };
import wren from '../../data/demo/builds/wren-as-driven.json' with { type: 'json' };
import { type Build, checkBuild } from '../../src/car/index.ts';
import { matchCar, STANDARD_CONDITIONS } from '../../src/match/index.ts';
import { METRIC_UNITS, makeUnits } from '../state/units.ts';
import { type Knob, knobsOf, type Moved, shownOf, writeKnob } from './what-if-knobs.ts';
import { plannedSheet } from './what-if-sheet.ts';
import { movesAhead, pointAt, solveWhatIf, type WhatIf } from './what-if-solve.ts';
import { changesAt, whatIfSentence } from './what-if-words.ts';

const sheetOf = (json: unknown): Build => {
  const checked = checkBuild(json);
  if (!checked.ok) throw new Error(checked.problems[0]?.says);
  return checked.build;
};
const units = makeUnits(METRIC_UNITS, null);
const cars = { wren: shownOf(sheetOf(wren)), otter: shownOf(sheetOf(otter)) };
const shown = cars.wren;
const base = solveWhatIf(shown, {});

const most = ({ result }: WhatIf) => Math.max(...result.points.map(({ powerW }) => powerW));
const at = (solved: WhatIf, rpm: number) => {
  const read = pointAt(solved.result, rpm);
  if (!read) throw new Error(`${rpm} rpm is outside`);
  return {
    powerW: read((p) => p.powerW)!,
    chargeK: read((p) => p.chargeTemperatureK)!,
    duty: read((p) => p.injectorDuty)!,
    margin: read((p) => p.knockMarginDeg)!,
    timing: read((p) => p.sparkAdvanceDeg)!,
    spray: read((p) => p.injectionFlowKgPerS)!,
  };
};

describe('the sliders', () => {
  it.each(Object.entries(cars))('of %s hold the value of the sheet between their ends', (_name, car) => {
    for (const { knob, lowest, highest, step, base: value } of knobsOf(car)) {
      expect(lowest, knob).toBeLessThanOrEqual(value);
      expect(highest, knob).toBeGreaterThanOrEqual(value);
      expect(step, knob).toBeLessThan((highest - lowest) / 10);
    }
  });

  it('are written with sign, unit and in words where nothing is fitted', () => {
    expect(writeKnob('boost', 20e3, units)).toMatch(/^\+0\.20 bar$/);
    expect(writeKnob('boost', -20e3, units)).toMatch(/^−0\.20 bar$/);
    expect(writeKnob('nozzle', 0, units)).toBe('off');
    expect(writeKnob('ethanol', 0.85, units)).toBe('85 %');
  });
});

describe('the car as it is', () => {
  it('is the match itself, but for estimated timing written down as a curve: within 1.5 % of power', () => {
    const match = matchCar(shown.car, STANDARD_CONDITIONS, { engineSpeedsRpm: shown.engineSpeedsRpm });
    match.points.forEach((point, i) => {
      const own = base.result.points[i]!;
      expect(own.engineSpeedRpm).toBe(point.engineSpeedRpm);
      expect(Math.abs(own.powerW - point.powerW)).toBeLessThan(0.015 * Math.max(20e3, point.powerW));
    });
  });

  it('has cycles solved ahead nearest first, none twice', () => {
    const ahead = movesAhead(shown).map((move) => JSON.stringify(move));
    expect(new Set(ahead).size).toBe(ahead.length);
    const ratios = movesAhead(shown).flatMap(({ ratio }) => ratio ?? []);
    const off = ratios.map((ratio) => Math.abs(ratio - shown.car.engine.compressionRatio));
    expect(off).toEqual([...off].sort((a, b) => a - b));
  });
});

describe('moving a number', () => {
  const rpm = 4500;
  const before = at(base, rpm);

  it('moves the answers the way physics says', () => {
    const boost = at(solveWhatIf(shown, { boost: 20e3 }), rpm);
    expect(boost.powerW).toBeGreaterThan(1.04 * before.powerW);
    expect(boost.margin).toBeLessThan(before.margin);
    const hot = at(solveWhatIf(shown, { outside: 313.15 }), rpm);
    expect(hot.chargeK).toBeGreaterThan(before.chargeK + 10);
    expect(hot.powerW).toBeLessThan(before.powerW);
    const octane = at(solveWhatIf(shown, { octane: shown.car.fuel.researchOctane + 5 }), rpm);
    // Timing that nobody typed follows the fuel: the octane goes into timing and power, the margin stays.
    expect(octane.timing).toBeGreaterThan(before.timing + 2);
    expect(octane.powerW).toBeGreaterThan(before.powerW);
    expect(Math.abs(octane.margin - before.margin)).toBeLessThan(2);
    const late = at(solveWhatIf(shown, { timing: -4 }), rpm);
    expect(late.margin).toBeCloseTo(before.margin + 4, 0);
    const spray = at(solveWhatIf(shown, { nozzle: 400e-6 / 60 }), rpm);
    expect(spray.spray).toBeGreaterThan(0);
    expect(spray.chargeK).toBeLessThan(before.chargeK - 5);
  });

  it('opens larger injectors for less time: near the ratio of their flows', () => {
    const flow = shown.car.fuelSystem.injectorFlowM3PerS;
    const larger = at(solveWhatIf(shown, { injectors: 1.5 * flow }), rpm);
    expect(larger.duty / before.duty).toBeGreaterThan(1 / 1.5);
    expect(larger.duty / before.duty).toBeLessThan(0.8);
  });
});

describe('the planned build', () => {
  const moves: Record<Exclude<Knob, 'outside' | 'altitude'>, number> = {
    boost: 16e3,
    timing: -2,
    octane: 100,
    ethanol: 0.3,
    nozzle: 300e-6 / 60,
    ratio: 10,
    injectors: 900e-6 / 60,
    pump: 300e-3 / 3600,
    cooler: 1.1,
  };

  it.each(Object.entries(moves))('with %s moved gives, solved anew, what the slider showed', (knob, value) => {
    const moved = { [knob]: value } as Moved;
    const planned = plannedSheet(shown, moved);
    if (!planned.ok) throw new Error(planned.says);
    expect(planned.build).not.toEqual(shown.build);
    const kept = most(solveWhatIf(shownOf(planned.build), {}));
    expect(Math.abs(kept / most(solveWhatIf(shown, moved)) - 1)).toBeLessThan(0.012);
  });

  it('says why there is none', () => {
    const planned = plannedSheet(shown, { timing: -60 });
    expect(planned).toEqual({ ok: false, says: 'Timing is moved further than a sheet can say.' });
  });
});

describe('the words', () => {
  const after = solveWhatIf(shown, { boost: 20e3 });

  it('say what changes at the hairline, each with its unit once', () => {
    const rows = changesAt(base.result, after.result, 4500, units);
    const names = rows.map(({ name }) => name);
    expect(names).toContain('Mixture, lambda');
    expect(new Set(names).size).toBe(names.length);
    const power = rows.find(({ name }) => name.startsWith('Power'))!;
    expect(Number(power.after) - Number(power.before)).toBeCloseTo(Number(power.change.replace('+', '')), -0.5);
    expect(rows.find(({ name }) => name.startsWith('Left before knock'))?.change).toMatch(/^−/);
    expect(changesAt(base.result, after.result, 500, units)).toEqual([]);
  });

  it('open with the power, how it moves, and the part nearest its limit', () => {
    expect(whatIfSentence(base, base, {}, units)).toMatch(/^As on the sheet it makes about \d+ kW at most\. Nearest/);
    expect(whatIfSentence(base, after, { boost: 20e3 }, units)).toMatch(
      /\d kW more than now\. Nearest its limit then: /,
    );
    expect(whatIfSentence(base, base, { pump: 1e-4 }, units)).toMatch(/no more and no less than now/);
  });
});
