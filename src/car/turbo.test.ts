/** Compressor map and turbine of the build sheet: what is refused, and what plus-minus comes of what was typed. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { type Build, type CompressorMapData, checkBuild, resolveBuild } from './index.ts';

const sheet = (): Record<string, unknown> =>
  JSON.parse(readFileSync(join(import.meta.dirname, '../../data/demo/builds/otter-as-driven.json'), 'utf8'));
const withTurbo = (change: (turbo: Record<string, unknown> & { compressorMap: CompressorMapData }) => void) => {
  const value = sheet();
  change(value.turbocharger as never);
  return checkBuild(value);
};
const built = (change: Parameters<typeof withTurbo>[0]): Build => {
  const result = withTurbo(change);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.build;
};
const saysOf = (change: Parameters<typeof withTurbo>[0]) => {
  const result = withTurbo(change);
  return result.ok ? [] : result.problems.map(({ path, says }) => `${path}: ${says}`);
};
const sdOf = (build: Build, path: string) => {
  const input = resolveBuild(build).inputs.find((one) => one.path === path);
  return input === undefined ? Number.NaN : input.sdSi / input.valueSi;
};

describe('a typed compressor map', () => {
  test('with two lines of one speed, or points of one flow, is refused with the place', () => {
    expect(
      saysOf(({ compressorMap: { lines } }) => {
        Object.assign(lines[1]!, { shaftSpeedRpm: lines[0]!.shaftSpeedRpm });
      })[0],
    ).toMatch(/^turbocharger.compressorMap.lines\[1\].shaftSpeedRpm: expected one line for each speed/);
    expect(
      saysOf(({ compressorMap: { lines } }) => {
        Object.assign(lines[2]!, { points: lines[2]!.points.map(([, p, e]) => [0.1, p, e]) });
      })[0],
    ).toMatch(/^turbocharger.compressorMap.lines\[2\].points: expected at least three points/);
  });

  test('to static pressure asks for the outlet, and is turned into total pressures', () => {
    expect(
      saysOf(({ compressorMap }) => {
        Object.assign(compressorMap, { pressureRatioIs: 'total to static' });
      }),
    ).toEqual([expect.stringMatching(/^turbocharger.compressorMap.outletDiameterMm: missing/)]);
    const plain = resolveBuild(built(() => {})).car.compressorMap!;
    const turned = resolveBuild(
      built(({ compressorMap }) => {
        Object.assign(compressorMap, { pressureRatioIs: 'total to static', outletDiameterMm: 50 });
      }),
    ).car.compressorMap!;
    expect(turned.pressureRatioIs).toBe('total to total');
    // The dynamic head of the outlet: near nothing at little flow, 1 to 4 % at much (p02/p2 = (1 + 0.2 M2)^3.5).
    const first = turned.lines[0]!.points[0]![1] / plain.lines[0]!.points[0]![1];
    const fast = turned.lines[8]!.points[6]![1] / plain.lines[8]!.points[6]![1];
    expect(first).toBeGreaterThan(1);
    expect(first).toBeLessThan(1.005);
    expect(fast).toBeGreaterThan(1.005);
    expect(fast).toBeLessThan(1.05);
    expect(
      saysOf(({ compressorMap }) => {
        Object.assign(compressorMap, { pressureRatioIs: 'total to static', outletDiameterMm: 16 });
      })[0],
    ).toContain('too narrow');
  });

  test('whose points scatter gives wider bands: the misfit adds to the plus-minus in squares', () => {
    const clean = built(() => {});
    const rough = built(({ compressorMap: { lines } }) => {
      lines.forEach((line, i) => {
        Object.assign(line, {
          points: line.points.map(([w, p, e], k) => {
            const step = ((7 * i + 5 * k) % 4) - 1.5;
            return [w * (1 + 0.02 * step), p, e * (1 - 0.02 * (((3 * i + k) % 4) - 1.5))];
          }),
        });
      });
    });
    for (const name of ['flow', 'efficiency'] as const) {
      const path = `turbocharger.compressorMap.${name}`;
      expect(sdOf(rough, path)).toBeGreaterThan(1.1 * sdOf(clean, path));
    }
    // Clean points leave the usual plus-minus of a data sheet: 2.5 and 2 % (house convention).
    expect(sdOf(clean, 'turbocharger.compressorMap.flow')).toBeCloseTo(0.025, 3);
    expect(sdOf(clean, 'turbocharger.compressorMap.efficiency')).toBeCloseTo(0.021, 2);
    const typed = built(({ compressorMap }) => {
      Object.assign(compressorMap, { flowSpread: '6 %', surgeSpread: '9 %', speedSpread: '3 %' });
    });
    expect(sdOf(typed, 'turbocharger.compressorMap.flow')).toBeCloseTo(0.06, 3);
    expect(sdOf(typed, 'turbocharger.compressorMap.surge')).toBeCloseTo(0.09, 6);
    expect(sdOf(typed, 'turbocharger.compressorMap.speed')).toBeCloseTo(0.03, 3);
  });
});

describe('the turbine', () => {
  const area = (change: Parameters<typeof withTurbo>[0]) =>
    resolveBuild(
      built((turbo) => {
        delete turbo.turbineEffectiveArea;
        change(turbo);
      }),
    ).quantities['turbocharger.turbineEffectiveArea']!;
  const point = (more: object) => ({
    flow: 20,
    flowUnit: 'lb/min',
    expansionRatio: 2.5,
    inletTemperatureK: 288.15,
    inletPressurePa: 101325,
    source: 'data-sheet',
    ...more,
  });

  test('has its area from a flow point, with the plus-minus of the point', () => {
    const found = area((turbo) => Object.assign(turbo, { turbineFlowPoint: point({}) }));
    expect(found).toMatchObject({
      source: 'data-sheet',
      estimated: false,
      note: 'from the flow at one expansion ratio',
    });
    // Choked nozzle by hand: m sqrt(R T)/(p 0.6847) = 0.15120 x 287.60 / (101325 x 0.6847) = 626.8 mm2 (Heywood eq. C.9),
    // and a little more since at 2.5 the turbine still passes 4 to 9 % less than its most.
    expect(found.valueSi * 1e6).toBeGreaterThan(626.8 * 1.02);
    expect(found.valueSi * 1e6).toBeLessThan(626.8 * 1.12);
    expect(found.sdSi / found.valueSi).toBeCloseTo(0.04, 9);
    const wide = area((turbo) => Object.assign(turbo, { turbineFlowPoint: point({ spread: '10 %' }) }));
    expect(wide.sdSi / wide.valueSi).toBeCloseTo(0.1, 9);
  });

  test('has its area from area over radius and wheel, wider; and from the usual pairing, wider still', () => {
    const length = (value: number) => ({ value, unit: 'mm', source: 'data-sheet' });
    const housing = area((turbo) =>
      Object.assign(turbo, { turbineAreaOverRadius: length(17), turbineWheel: length(52) }),
    );
    const larger = area((turbo) =>
      Object.assign(turbo, { turbineAreaOverRadius: length(24), turbineWheel: length(52) }),
    );
    const usual = area((turbo) => {
      delete turbo.turbineAreaOverRadius;
    });
    expect(housing).toMatchObject({ estimated: true, note: 'from area over radius and wheel' });
    expect(larger.valueSi).toBeGreaterThan(1.1 * housing.valueSi);
    expect(housing.sdSi / housing.valueSi).toBeLessThan(usual.sdSi / usual.valueSi);
    expect(housing.valueSi / usual.valueSi).toBeGreaterThan(0.7);
    expect(housing.valueSi / usual.valueSi).toBeLessThan(1.4);
  });
});
