/**
 * Random build sheets within the schema, and the whole way of each: text, parsed, resolved, matched, its ledger. Used by
 * the test of this name and by scripts/check-builds.mjs, which runs as many as one likes.
 */
import {
  BUILD_SCHEMA,
  type BuildProblem,
  FIELDS,
  type Field,
  parseBuild,
  resolveBuild,
  SOURCES,
} from '../car/index.ts';
import { fromSi, toSi, type Unit, unitsOf } from '../physics/index.ts';
import { combineSamples, ledgerShard } from './headroom.ts';
import type { Conditions } from './types.ts';
import { matchWithBands } from './uncertain.ts';

/** Even numbers from nought to 1 from a seed. Source: Park & Miller, Comm. ACM 31 (1988) 1192; bits mixed first so that near seeds differ. */
const chances = (seed: number) => {
  let state = Math.imul(seed ^ 0x9e3779b9, 0x85ebca6b) >>> 0;
  state = (Math.imul(state ^ (state >>> 15), 0xc2b2ae35) >>> 0) % 2147483646;
  state += 1;
  const next = () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
  for (let i = 0; i < 4; i++) next();
  return next;
};

type Sheet = Record<string, unknown>;

/** One random sheet: every field over its whole range, its ends included, most often something in between. */
export const randomBuild = (seed: number): Sheet => {
  const chance = chances(seed);
  const between = (low: number, high: number) => low + (high - low) * chance();
  const whole = (low: number, high: number) => Math.min(high, Math.floor(between(low, high + 1)));
  const pick = <T>(from: readonly T[]): T => from[Math.min(from.length - 1, Math.floor(chance() * from.length))]!;
  /** How much of what may be left out is there. */
  const filled = pick([0, 0.05, 0.3, 0.7, 1]);
  /** How often a number lies at an end of its range. */
  const ends = pick([0, 0, 0.1, 0.6]);
  const may = <T>(make: () => T): T | undefined => (chance() < filled ? make() : undefined);

  const inRange = (low: number, high: number): number => {
    const how = chance();
    if (how < ends) return chance() < 0.5 ? low : high;
    if (low > 0 && how > 0.5) return Math.min(high, Math.max(low, low * (high / low) ** chance()));
    return between(low, high);
  };
  const spread = () => (chance() < 0.25 ? { spread: `${pick([0, 0.1, 1, 5, 20, 60])} %` } : {});
  const quantity = (field: Field): Sheet => {
    const [low, high] = field.range;
    const value = inRange(low, high);
    const unit = chance() < 0.8 ? field.unit : pick(unitsOf(field.dimension));
    // Turned into another unit, an end may come to lie outside by rounding; a little inside it is as good.
    const turned =
      unit === field.unit ? value : fromSi(toSi(low + 0.999 * (value - low) + 0.0005 * (high - low), field.unit), unit);
    return { value: turned, unit, source: pick(SOURCES), ...spread() };
  };
  const group = (name: keyof typeof FIELDS): Sheet =>
    Object.fromEntries(
      Object.entries(FIELDS[name] as Record<string, Field>)
        .map(([key, field]) => [key, field.required ? quantity(field) : may(() => quantity(field))] as const)
        .filter(([, value]) => value !== undefined),
    );
  const rising = (count: number, low: number, high: number): number[] =>
    [...new Set(Array.from({ length: count }, () => between(low, high)))].sort((a, b) => a - b);
  const curve = (
    atUnit: Unit,
    places: readonly [number, number],
    unit: Unit,
    range: readonly [number, number],
  ): Sheet => {
    const at = rising(whole(1, 12), ...places);
    const [low, high] = range;
    const even = inRange(low, high);
    const wild = chance() < 0.5;
    return {
      at: { unit: atUnit, values: at },
      values: { unit, values: at.map(() => (wild ? inRange(low, high) : even)) },
      source: pick(SOURCES),
      ...spread(),
    };
  };
  const map = (): Sheet => {
    const wild = chance() < 0.2;
    const top = inRange(20_000, 350_000);
    const flowTop = inRange(0.03, 1.5);
    const ratioTop = between(1.3, 5);
    const shares = rising(whole(2, 8), 0.25, 1);
    return {
      referenceTemperatureK: between(288, 303),
      referencePressurePa: between(95e3, 102e3),
      flowUnit: 'kg/s',
      lines: shares.map((share) => {
        const choke = flowTop * share * between(0.9, 1.1);
        return {
          shaftSpeedRpm: Math.max(5000, top * share),
          ...(chance() < 0.2 ? { chokeFlow: 1.02 * choke } : {}),
          points: rising(whole(3, 10), 0.4, 1).map((x) =>
            wild
              ? [inRange(0, 2), between(0.8, 8), between(0.05, 0.95)]
              : [
                  choke * x,
                  1 + (ratioTop - 1) * share * share * (1 - 0.8 * Math.max(0, x - 0.5) ** 2 * 4) * between(0.98, 1.02),
                  between(0.5, 0.8) * (1 - 0.5 * Math.abs(x - 0.7)),
                ],
          ),
        };
      }),
      source: pick(SOURCES),
    };
  };
  const kind = pick(['petrol', 'petrol', 'ethanol blend', 'blend', 'methanol', 'diesel'] as const);
  const fuel = () => {
    const { ethanolContent, methanolContent, tolueneContent, motorOctane, ...rest } = group('fuel') as Record<
      string,
      Sheet
    >;
    const share = (value: number): Sheet => ({ value, unit: '%', source: pick(SOURCES) });
    if (kind === 'ethanol blend') return { kind, ...rest, ethanolContent: share(between(0, 100)) };
    if (kind === 'petrol')
      return { kind, ...rest, ...(ethanolContent ? { ethanolContent: share(between(0, 15)) } : {}) };
    if (kind === 'blend') {
      const parts = [between(0, 1), between(0, 1), between(0, 1), between(0.001, 1)];
      const sum = parts.reduce((a, b) => a + b, 0);
      return {
        kind,
        ...rest,
        ethanolContent: share((100 * parts[0]!) / sum),
        ...(methanolContent ? { methanolContent: share((100 * parts[1]!) / sum) } : {}),
        ...(tolueneContent ? { tolueneContent: share((100 * parts[2]!) / sum) } : {}),
      };
    }
    return { kind, ...rest, ...(chance() < 0.1 && motorOctane ? { motorOctane } : {}) };
  };
  const boostIsGauge = chance() < 0.7;
  const optionalMap = may(map);
  const wheels = group('turbocharger') as Record<string, Sheet>;
  const turbocharger = {
    ...wheels,
    ...(optionalMap
      ? { compressorMap: optionalMap }
      : {
          compressorInducer: quantity(FIELDS.turbocharger.compressorInducer),
          compressorExducer: quantity(FIELDS.turbocharger.compressorExducer),
        }),
  };
  const withEngine = { ...group('engine') };
  return {
    schema: BUILD_SCHEMA,
    name: `random ${seed}`,
    engine: {
      cylinders: whole(1, 16),
      ...(chance() < filled ? { layout: pick(['inline', 'vee', 'flat']) } : {}),
      ...(chance() < filled ? { valvesPerCylinder: whole(2, 5) } : {}),
      ...(chance() < 0.1 ? { ignition: pick(['spark', 'compression']) } : {}),
      ...withEngine,
      ...(chance() < filled ? { volumetricEfficiency: curve('rpm', [500, 14_000], '%', [10, 150]) } : {}),
    },
    turbocharger,
    chargeCooler: {
      ...group('chargeCooler'),
      ...(chance() < filled ? { effectiveness: curve('kg/s', [0, 1.5], '%', [0, 100]) } : {}),
    },
    ...(chance() < filled ? { intake: group('intake') } : {}),
    ...(chance() < filled ? { exhaust: group('exhaust') } : {}),
    fuel: fuel(),
    fuelSystem: {
      ...(chance() < filled ? { injectorCount: whole(1, 32), regulatorReferenced: chance() < 0.5 } : {}),
      ...group('fuelSystem'),
    },
    ...(chance() < filled ? { injection: group('injection') } : {}),
    ...(chance() < filled
      ? { sensors: { airMetering: pick(['airflow meter', 'speed-density']), ...group('sensors') } }
      : {}),
    driveline: {
      driven: pick(['front', 'rear', 'all']),
      gearRatios: Array.from({ length: whole(1, 12) }, () => inRange(0.3, 8)),
      ...group('driveline'),
    },
    tyres: { size: `${whole(12, 35) * 10 + 5}/${whole(2, 8) * 10 + 5}R${whole(12, 22)}`, ...group('tyres') },
    body: group('body'),
    ...(chance() < filled ? { electrical: group('electrical') } : {}),
    ...(chance() < 0.5 * filled ? { learned: group('learned') } : {}),
    targets: {
      boost: boostIsGauge
        ? curve('rpm', [500, 14_000], 'kPa gauge', [0, 690])
        : curve('rpm', [500, 14_000], 'kPa abs', [0, 690]),
      ...(chance() < filled ? { lambda: curve('rpm', [500, 14_000], 'lambda', [0.5, 1.3]) } : {}),
      ...(chance() < filled ? { sparkAdvance: curve('rpm', [500, 14_000], 'deg', [-20, 60]) } : {}),
    },
  };
};

/** The air of a random day, over all that the model takes. */
const randomAir = (seed: number): Conditions => {
  const chance = chances(seed + 1_000_003);
  return {
    ambientPressurePa: 50e3 + 60e3 * chance(),
    ambientTemperatureK: 230 + 100 * chance(),
    relativeHumidity: chance(),
  };
};

/** Places of numbers that are none, in an answer of plain data. */
const notFinite = (value: unknown, path: string, out: string[]): void => {
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) out.push(`${path} is ${value}`);
  } else if (Array.isArray(value)) {
    for (const [i, one] of value.entries()) notFinite(one, `${path}[${i}]`, out);
  } else if (typeof value === 'object' && value !== null) {
    for (const [key, one] of Object.entries(value)) notFinite(one, path === '' ? key : `${path}.${key}`, out);
  }
};

export type Verdict =
  /** `reasons`: typed reasons that the answers gave for what has no solution. */
  | { readonly kind: 'solved'; readonly reasons: readonly string[]; readonly points: number }
  | { readonly kind: 'refused'; readonly problems: readonly BuildProblem[] }
  | { readonly kind: 'fault'; readonly says: string };

const REASONS: readonly string[] = [
  'compressor choked',
  'compressor surges',
  'wastegate cannot hold the target',
  'injectors static',
  'pump cannot hold the rail pressure',
  'no balance found',
  'outside the map',
];

/** One random build from text to ledger. Never throws: a fault is a verdict. */
export const tryBuild = (seed: number): Verdict => {
  try {
    const read = parseBuild(JSON.stringify(randomBuild(seed)));
    if (!read.ok) {
      const bare = read.problems.filter(({ says }) => says.trim() === '');
      if (read.problems.length === 0 || bare.length > 0) return { kind: 'fault', says: 'refused without a reason' };
      return { kind: 'refused', problems: read.problems };
    }
    const resolved = resolveBuild(read.build);
    const air = randomAir(seed);
    const limit = resolved.car.engine.revLimitRpm;
    const engineSpeedsRpm = [0.3, 0.65, 1].map((share) => share * limit);
    const match = matchWithBands(resolved, air, { engineSpeedsRpm, samples: 1, seed });
    const options = { match: { engineSpeedsRpm } };
    const samples = ledgerShard(resolved, air, { samples: 1, seed, from: 0, to: 1 }, options.match);
    const ledger = combineSamples(resolved, air, samples, { seed, ...options });
    const wrong: string[] = [];
    notFinite(match, 'match', wrong);
    notFinite(ledger, 'ledger', wrong);
    const reasons = [...match.problems, ...ledger.problems].map(({ reason }) => reason);
    for (const reason of reasons) if (!REASONS.includes(reason)) wrong.push(`unknown reason ${reason}`);
    for (const { says } of [...match.problems, ...ledger.problems]) {
      if (/NaN|Infinity|undefined/.test(says)) wrong.push(`a sentence says "${says}"`);
    }
    if (match.points.length + match.problems.length < engineSpeedsRpm.length) {
      wrong.push('an engine speed has neither an answer nor a reason');
    }
    if (wrong.length > 0) return { kind: 'fault', says: wrong.slice(0, 3).join('; ') };
    return { kind: 'solved', reasons, points: match.points.length };
  } catch (error) {
    return { kind: 'fault', says: error instanceof Error ? (error.stack ?? error.message) : String(error) };
  }
};
