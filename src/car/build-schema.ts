/** The build sheet as it is saved: one readable JSON file, checked by one schema for store, server, form and command line. */
import { z } from 'zod';
import { type Dimension, isUnit, toSi, type Unit } from '../physics/units.ts';
import { FIELDS, type Field, type FieldTable, type GroupName } from './fields.ts';
import { FUEL_KINDS, fuelExtras, fuelProblems, injectionExtras, injectionProblems } from './fuel-schema.ts';
import { type Quantity, quantitySchema, SOURCES } from './quantity.ts';
import { unitOf } from './schema-parts.ts';
import { type BuildProblem, problemsIn, readJson } from './sheet-problems.ts';
import { compressorMapSchema, turbineFlowPointSchema } from './turbo-schema.ts';

export const BUILD_SCHEMA = 'boostwright.build/1';

/** A curve: `at` and `values` side by side, one plus-minus for the whole of it. */
export interface CurveQuantity {
  readonly at: { readonly unit: Unit; readonly values: readonly number[] };
  readonly values: { readonly unit: Unit; readonly values: readonly number[] };
  readonly source: (typeof SOURCES)[number];
  readonly spread?: string;
  readonly note?: string;
}

const curveSchema = (at: Dimension[], values: Dimension[], [minSi, maxSi]: readonly [number, number]) =>
  z
    .strictObject({
      at: z.strictObject({ unit: unitOf(...at), values: z.array(z.number()).min(1).max(400) }),
      values: z.strictObject({ unit: unitOf(...values), values: z.array(z.number()).min(1).max(400) }),
      source: z.enum(SOURCES),
      spread: z
        .string()
        .regex(/^\s*\d+(\.\d+)?\s*%\s*$/, 'expected the spread of a curve as a percentage, like "5 %"')
        .optional(),
      note: z.string().max(400).optional(),
    })
    .superRefine((curve, context) => {
      if (curve.at.values.length !== curve.values.values.length) {
        context.addIssue({
          code: 'custom',
          path: ['values', 'values'],
          message: `expected as many values as places (${curve.at.values.length}), got ${curve.values.values.length}`,
        });
      }
      curve.at.values.forEach((place, index) => {
        const before = curve.at.values[index - 1];
        if (before !== undefined && !(place > before)) {
          context.addIssue({
            code: 'custom',
            path: ['at', 'values', index],
            message: `expected places that rise; ${place} does not follow ${before}`,
          });
        }
      });
      const { unit } = curve.values;
      if (!isUnit(unit)) return;
      curve.values.values.forEach((value, index) => {
        const valueSi = toSi(value, unit);
        if (!(valueSi >= minSi && valueSi <= maxSi)) {
          context.addIssue({
            code: 'custom',
            path: ['values', 'values', index],
            message: `expected a plausible value, got ${value} ${unit}`,
          });
        }
      });
    });

type QuantitySchema<F> = F extends Field<Dimension, true> ? z.ZodType<Quantity> : z.ZodOptional<z.ZodType<Quantity>>;

const groupShape = <G extends GroupName>(group: G): { [K in keyof FieldTable[G]]: QuantitySchema<FieldTable[G][K]> } =>
  Object.fromEntries(
    Object.entries(FIELDS[group] as Record<string, Field>).map(([name, field]) => {
      const [low, high] = field.range;
      const schema = quantitySchema({
        dimension: field.dimension,
        minSi: toSi(low, field.unit),
        maxSi: toSi(high, field.unit),
      });
      return [name, field.required ? schema : schema.optional()];
    }),
  ) as unknown as { [K in keyof FieldTable[G]]: QuantitySchema<FieldTable[G][K]> };

const speed: Dimension[] = ['rotational speed'];

export const buildSchema = z.strictObject({
  schema: z.literal(BUILD_SCHEMA, { error: `expected "${BUILD_SCHEMA}"` }),
  name: z.string().min(1).max(120),
  car: z.string().min(1).max(120).optional(),
  date: z.iso.date().optional(),
  note: z.string().max(4000).optional(),
  engine: z.strictObject({
    cylinders: z.int().min(1).max(16),
    layout: z.enum(['inline', 'vee', 'flat']).optional(),
    valvesPerCylinder: z.int().min(2).max(5).optional(),
    ignition: z.enum(['spark', 'compression']).optional(),
    /** Turbocharged when absent. A naturally aspirated engine has an empty "turbocharger"; only part load knows it. */
    aspiration: z.enum(['turbocharged', 'natural']).optional(),
    /** Where the fuel goes in. */
    fuelInjection: z.enum(['port', 'direct']).optional(),
    /** Which camshafts can be turned against the crank while running. */
    camPhasing: z.enum(['none', 'intake', 'both']).optional(),
    ...groupShape('engine'),
    /** Air trapped over air that would fill the swept volume at manifold state, exhaust pressure equal to manifold pressure. */
    volumetricEfficiency: curveSchema(speed, ['ratio'], [0.1, 1.5]).optional(),
  }),
  turbocharger: z.strictObject({
    ...groupShape('turbocharger'),
    compressorMap: compressorMapSchema.optional(),
    turbineFlowPoint: turbineFlowPointSchema.optional(),
  }),
  chargeCooler: z.strictObject({
    ...groupShape('chargeCooler'),
    /** (compressor outlet - charge) over (compressor outlet - core or outside air), against air flow. */
    effectiveness: curveSchema(['mass flow'], ['ratio'], [0, 1]).optional(),
  }),
  intake: z
    .strictObject({
      /** What lets boost go when the throttle shuts; recirculating when absent. */
      bypassValve: z.enum(['recirculating', 'atmospheric', 'none']).optional(),
      ...groupShape('intake'),
    })
    .optional(),
  exhaust: z.strictObject(groupShape('exhaust')).optional(),
  fuel: z.strictObject({ kind: z.enum(FUEL_KINDS), ...groupShape('fuel'), ...fuelExtras }),
  fuelSystem: z.strictObject({
    injectorCount: z.int().min(1).max(32).optional(),
    regulatorReferenced: z.boolean().optional(),
    ...groupShape('fuelSystem'),
  }),
  injection: z.strictObject({ ...groupShape('injection'), ...injectionExtras }).optional(),
  sensors: z
    .strictObject({
      airMetering: z.enum(['airflow meter', 'speed-density']).optional(),
      speedSource: z.enum(['driven wheel', 'undriven wheel', 'gearbox', 'satellite']).optional(),
      ...groupShape('sensors'),
    })
    .optional(),
  driveline: z.strictObject({
    driven: z.enum(['front', 'rear', 'all']),
    gearRatios: z.array(z.number().min(0.3).max(8)).min(1).max(12),
    ...groupShape('driveline'),
  }),
  tyres: z.strictObject({
    size: z
      .string()
      .regex(/^\d{3}\/\d{2}\s?Z?R\d{2}$/, 'expected a tyre size like "225/45R17"')
      .optional(),
    ...groupShape('tyres'),
  }),
  body: z.strictObject(groupShape('body')),
  electrical: z.strictObject(groupShape('electrical')).optional(),
  learned: z.strictObject(groupShape('learned')).optional(),
  /** What the engine computer is set to ask for at full throttle. */
  targets: z.strictObject({
    boost: curveSchema(speed, ['absolute pressure', 'gauge pressure'], [0, 700000]),
    lambda: curveSchema(speed, ['lambda'], [0.5, 1.3]).optional(),
    sparkAdvance: curveSchema(speed, ['angle'], [-20, 60]).optional(),
  }),
});

/** A checked build sheet. */
export type Build = z.infer<typeof buildSchema>;

export type BuildResult =
  | { readonly ok: true; readonly build: Build }
  | { readonly ok: false; readonly problems: readonly BuildProblem[] };

const schemeProblems = (build: Build): BuildProblem[] => {
  const problems: BuildProblem[] = [];
  const { turbocharger, tyres } = build;
  const natural = build.engine.aspiration === 'natural';
  if (natural && Object.keys(turbocharger).length > 0) {
    problems.push({
      path: 'turbocharger',
      says: 'expected nothing in it, since engine.aspiration is "natural"; leave it empty, or say "turbocharged"',
    });
  }
  if (!natural && !turbocharger.compressorMap && !(turbocharger.compressorInducer && turbocharger.compressorExducer)) {
    problems.push({
      path: 'turbocharger',
      says: 'expected a compressorMap, or compressorInducer and compressorExducer to estimate one from',
    });
  }
  if (!tyres.size && !tyres.rollingRadius) {
    problems.push({ path: 'tyres', says: 'expected a size like "225/45R17", or a rollingRadius' });
  }
  return [...problems, ...fuelProblems(build.fuel), ...injectionProblems(build.injection)];
};

/** Checks an already parsed JSON value; every problem is listed with its place in the file and what was expected. */
export const checkBuild = (value: unknown): BuildResult => {
  const result = buildSchema.safeParse(value);
  if (!result.success) {
    return { ok: false, problems: problemsIn(result.error, buildSchema) };
  }
  const problems = schemeProblems(result.data);
  return problems.length > 0 ? { ok: false, problems } : { ok: true, build: result.data };
};

/** Reads the text of a build file; `check` may take other sheets too. */
export const parseBuild = (text: string, check: (value: unknown) => BuildResult = checkBuild): BuildResult => {
  const read = readJson(text);
  if (read.ok) return check(read.value);
  return { ok: false, problems: [{ path: '', says: `not a JSON file (${read.why}); save the build sheet as JSON` }] };
};

/** The text of a build file: two spaces, one final line break, so that two dated files compare line by line. */
export const writeBuild = (build: Build): string => `${JSON.stringify(build, null, 2)}\n`;
