/**
 * An engine alone, as its data sheet has it: a build sheet is made of it, with the car round it and all that is unsaid by
 * class and marked as estimated. For questions that need no car, like fuel flow at part load.
 */
import { z } from 'zod';
import { toSi, type Unit } from '../physics/units.ts';
import { type BuildResult, buildSchema, checkBuild } from './build-schema.ts';
import { FIELDS, type Field, type GroupName } from './fields.ts';
import { type Quantity, quantitySchema } from './quantity.ts';

const ENGINE_SCHEMA = 'boostwright.engine/1';

const build = buildSchema.shape;

const engineSheetSchema = z.strictObject({
  schema: z.literal(ENGINE_SCHEMA, { error: `expected "${ENGINE_SCHEMA}"` }),
  name: z.string().min(1).max(120),
  note: z.string().max(4000).optional(),
  engine: build.engine.partial({ revLimit: true }).required({ aspiration: true }),
  /** Petrol when absent. */
  fuel: build.fuel.optional(),
  /** Rated power, from which a turbocharger's size is taken. */
  ratedPower: quantitySchema({ dimension: 'power', minSi: 1e3, maxSi: 2e6 }).optional(),
  targets: build.targets.optional(),
});

const guess = (value: number, unit: Unit, note: string): Quantity => ({ value, unit, source: 'estimate', note });
/** A guess held inside what the sheet takes, so that a very small or large engine has one too. */
const within = (group: GroupName, name: string, value: number, note: string): Quantity => {
  const field = (FIELDS[group] as Record<string, Field>)[name];
  if (!field) throw new Error(`no field ${group}.${name}`);
  const [low, high] = field.range;
  return guess(Math.min(high, Math.max(low, value)), field.unit, note);
};

/** Air per rated power of a turbocharged petrol engine: 300 g/kWh at lambda 0.86 (Heywood (1988) sect. 15.6 for the range). */
const AIR_PER_POWER_KG_PER_J = 1.04e-6;
/** Rated power per displacement where none is given: usual turbocharged road engines [W/m3] (common practice, no source). */
const TURBOCHARGED_POWER_PER_M3 = 80e6;
/** Rated air flow over the compressor's choke flow, as elsewhere in the estimates (`chargeCooler.referenceFlow`). */
const RATED_OVER_CHOKE = 0.72;
const NATURAL_POWER_PER_M3 = 52e6;

/**
 * The build sheet of an engine sheet. Rev limit 6500 rpm, a compressor with room above the rated air flow, 100 kPa
 * of boost, injectors and pump to suit, a usual car round it: none of it matters much at part load, all of it is marked.
 */
export const buildOfEngine = (value: unknown): BuildResult => {
  const read = engineSheetSchema.safeParse(value);
  if (!read.success) {
    return {
      ok: false,
      problems: read.error.issues.map(({ path, message }) => ({
        path: path.map(String).join('.'),
        says: message.replace(/^Invalid input: /, ''),
      })),
    };
  }
  const { name, note, engine, fuel, ratedPower, targets } = read.data;
  const displacement = engine.displacement as Quantity;
  const displacementM3 = toSi(displacement.value, displacement.unit);
  const natural = engine.aspiration === 'natural';
  const powerW = ratedPower
    ? toSi(ratedPower.value, ratedPower.unit)
    : displacementM3 * (natural ? NATURAL_POWER_PER_M3 : TURBOCHARGED_POWER_PER_M3);
  const chokeKgPerS = (powerW * AIR_PER_POWER_KG_PER_J) / RATED_OVER_CHOKE;
  const exducerMm = 1000 * Math.sqrt(chokeKgPerS / 97);
  const fuelKgPerS = powerW * 8.3e-8;
  const why = 'not on an engine sheet: a usual one';
  const sheet = {
    schema: 'boostwright.build/1',
    name,
    ...(note === undefined ? {} : { note }),
    engine: { ...engine, revLimit: engine.revLimit ?? guess(6500, 'rpm', why) },
    turbocharger: natural
      ? {}
      : {
          compressorExducer: {
            ...within('turbocharger', 'compressorExducer', exducerMm, 'from rated power'),
            spread: '8 %',
          },
          compressorInducer: {
            ...within('turbocharger', 'compressorInducer', 0.74 * exducerMm, 'from rated power'),
            spread: '8 %',
          },
          // A maker's turbine is small, for boost from below 2000 rpm, and its wastegate passes the rest.
          turbineEffectiveArea: {
            ...within('turbocharger', 'turbineEffectiveArea', 1250 * chokeKgPerS, why),
            spread: '15 %',
          },
          wastegateArea: { ...within('turbocharger', 'wastegateArea', 1500 * chokeKgPerS, why), spread: '20 %' },
        },
    chargeCooler: {},
    fuel: fuel ?? { kind: 'petrol' },
    fuelSystem: {
      injectorFlow: within('fuelSystem', 'injectorFlow', (fuelKgPerS / 745 / engine.cylinders / 0.8) * 6e7, why),
      pumpFlow: within('fuelSystem', 'pumpFlow', (fuelKgPerS / 745) * 3.6e6 * 2, why),
    },
    driveline: { driven: 'front', gearRatios: [3.5, 2, 1.35, 1, 0.8], finalDrive: guess(4, '1', why) },
    tyres: { size: '205/55R16' },
    body: { mass: guess(1400, 'kg', why) },
    targets: targets ?? {
      boost: {
        at: { unit: 'rpm', values: [1000, 7000] },
        values: { unit: 'kPa gauge', values: natural ? [0, 0] : [100, 100] },
        source: 'estimate',
        spread: '15 %',
      },
    },
  };
  return checkBuild(sheet);
};

/** A build sheet or an engine sheet, whichever it says it is. */
export const checkBuildOrEngine = (value: unknown): BuildResult =>
  (value as { schema?: unknown } | null)?.schema === ENGINE_SCHEMA ? buildOfEngine(value) : checkBuild(value);
