/** The calls of the data interface. Their shapes are in src/app/api.ts. */
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { BadInput, choicesSchema, type Desk, MOST_COMPARED, readChoices, readRunPull } from '../app/index.ts';
import { Readings } from './readings.ts';

const id = z.string().min(1).max(200);
const carParams = z.object({ carId: id });
const buildParams = z.object({ buildId: id });
const runParams = z.object({ runId: id });

const number = z
  .string()
  .regex(/^-?\d+(\.\d+)?(e-?\d+)?$/i, 'expected a number')
  .transform(Number);

const airQuery = z.object({
  ambientPressurePa: number.optional(),
  ambientTemperatureK: number.optional(),
  relativeHumidity: number.optional(),
});

const cylinderQuery = airQuery.extend({ rpm: number.pipe(z.number().min(500).max(20_000)).optional() });

const rpm = number.pipe(z.number().min(100).max(20_000));
const gear = number.pipe(z.int().min(1).max(12));
const spoolQuery = airQuery.extend({ gear: gear.optional(), from: rpm.optional(), lift: rpm.optional() });
const spoolLoggedQuery = z.object({ gear: gear.optional() });

const ledgerQuery = airQuery.extend({ samples: number.optional() });
const ledgerWork = z.object({ samples: z.number() });
const workParams = z.object({ workId: id });

const said = (what: string, most: number) =>
  z.string().trim().min(1, `type ${what}`).max(most, `at most ${most} letters`);
const sheet = z.unknown().refine((value) => value !== undefined, 'missing; send a build sheet');
const newBuild = z.object({
  label: said('a name for the build', 120),
  planned: z.boolean(),
  parentId: id.optional(),
  newestId: id.optional(),
  sheet,
});
const newCar = z.object({
  name: said('a name for the car', 120),
  note: z.string().max(4000).optional(),
  label: said('a name for the build', 120),
  planned: z.boolean(),
  sheet,
});

const localTime = z.iso.datetime({ local: true, offset: false });
const uploadQuery = z.object({
  build: id,
  date: localTime.optional(),
  rate: number.pipe(z.number().min(0.01).max(100_000)).optional(),
  reading: id.optional(),
});
const looseQuery = z.object({
  stage: z.enum(['read', 'review']),
  fuel: z.enum(['petrol', 'diesel']).optional(),
  rate: number.pipe(z.number().min(0.01).max(100_000)).optional(),
  reading: id.optional(),
});
const readingParams = z.object({ readingId: id });
const confirmQuery = z.object({ reading: id.optional() });
const confirm = z.object({
  choices: choicesSchema,
  remember: z.boolean(),
  drivenAt: localTime.optional(),
  note: z.string().max(4000).optional(),
});

const channelNames = z
  .string()
  .transform((text) => [...new Set(text.split(',').map((name) => name.trim()))].filter((name) => name !== ''))
  .pipe(z.array(z.string()).min(1, 'name at least one channel').max(60));
const tilesQuery = z.object({
  channels: channelNames,
  level: number.pipe(z.int().min(0).max(30)),
  tile: number.pipe(
    z
      .int()
      .min(0)
      .max(2 ** 30),
  ),
});
const tracesQuery = z.object({
  channels: channelNames,
  start: number.optional(),
  end: number.optional(),
  points: number.pipe(z.int().min(100).max(20_000)).optional(),
});

/** Checks a part of a request; every problem is named with its place. */
const checked = <T extends z.ZodType>(schema: T, value: unknown, what: string): z.output<T> => {
  const read = schema.safeParse(value);
  if (read.success) return read.data;
  const problems = read.error.issues.map((issue) => ({ path: issue.path.join('.'), says: issue.message }));
  const first = problems[0];
  throw new BadInput(
    'bad-request',
    `The ${what} cannot be used: ${first ? `${first.path === '' ? '' : `${first.path}: `}${first.says}` : 'see problems'}.`,
    problems,
  );
};

const searchParams = z.object({ searchId: id });
const liftQuery = airQuery.extend({ to: id });
const partOptions = z.object({ options: z.unknown() });
const liftSearch = z.object({
  targetPowerW: z.number(),
  chance: z.number(),
  options: z.unknown().optional(),
  keepInside: z.array(z.string().max(60)).max(40).optional(),
});
const plannedSet = z.object({
  label: z.string().trim().min(1).max(120),
  parts: z.array(z.object({ place: z.string().max(60), option: z.string().max(80) })).max(12),
  options: z.unknown().optional(),
});

const addLiftRoutes = (server: FastifyInstance, desk: Desk): void => {
  server.get('/api/builds/:buildId/lift', async ({ params, query }) => {
    const { to, ...air } = checked(liftQuery, query, 'query');
    return desk.lift.compare(checked(buildParams, params, 'address').buildId, to, air);
  });

  server.get('/api/cars/:carId/part-options', async ({ params }) =>
    desk.lift.partOptions(checked(carParams, params, 'address').carId),
  );

  server.post('/api/cars/:carId/part-options', async ({ params, body }) =>
    desk.lift.savePartOptions(
      checked(carParams, params, 'address').carId,
      checked(partOptions, body, 'part options').options,
    ),
  );

  server.post('/api/builds/:buildId/lift-searches', async ({ params, query, body }, reply) => {
    const { buildId } = checked(buildParams, params, 'address');
    const state = desk.lift.startSearch(
      buildId,
      checked(liftSearch, body, 'search'),
      checked(airQuery, query, 'query'),
    );
    reply.code(202);
    return state;
  });

  server.get('/api/lift-searches/:searchId', async ({ params }) =>
    desk.lift.search(checked(searchParams, params, 'address').searchId),
  );

  server.delete('/api/lift-searches/:searchId', async ({ params }) =>
    desk.lift.cancelSearch(checked(searchParams, params, 'address').searchId),
  );

  server.post('/api/builds/:buildId/planned-sets', async ({ params, body }, reply) => {
    const { buildId } = checked(buildParams, params, 'address');
    const saved = desk.lift.planSet(buildId, checked(plannedSet, body, 'set'));
    reply.code(201);
    return desk.build(saved.id);
  });
};

/** A word of the query that may come several times. */
const several = (most: number) =>
  z
    .union([z.string(), z.array(z.string())])
    .transform((given) => (typeof given === 'string' ? [given] : given))
    .pipe(z.array(z.string().max(200)).max(most));

const compareQuery = z.object({ run: several(MOST_COMPARED) });
const pullsQuery = z.object({
  where: several(12).optional(),
  sort: z.string().max(60).optional(),
  direction: z.enum(['rising', 'falling']).optional(),
  channels: z
    .string()
    .transform((text) => text.split(',').map((name) => name.trim()))
    .pipe(z.array(z.string().min(1).max(40)).max(20))
    .optional(),
  offset: number.pipe(z.int().min(0).max(1_000_000)).optional(),
  limit: number.pipe(z.int().min(1).max(500)).optional(),
});

const addSeveralRunsRoutes = (server: FastifyInstance, desk: Desk): void => {
  server.get('/api/compare', async ({ query }) =>
    desk.several.compare(checked(compareQuery, query, 'query').run.map(readRunPull)),
  );

  server.get('/api/cars/:carId/pulls', async ({ params, query }) => {
    const { where, sort, direction, channels, offset, limit } = checked(pullsQuery, query, 'query');
    return desk.several.pulls(checked(carParams, params, 'address').carId, {
      where: where ?? [],
      sort: sort ?? 'newest',
      rising: direction === 'rising',
      channels: channels ?? [],
      offset: offset ?? 0,
      limit: limit ?? 100,
    });
  });
};

export const addRoutes = async (server: FastifyInstance, desk: Desk): Promise<void> => {
  addLiftRoutes(server, desk);
  addSeveralRunsRoutes(server, desk);

  server.get('/api/cars', async () => desk.cars());

  server.post('/api/cars', async ({ body }, reply) => {
    const made = desk.addCar(checked(newCar, body, 'car'));
    reply.code(201);
    return made;
  });

  server.get('/api/cars/:carId/builds', async ({ params }) => desk.builds(checked(carParams, params, 'address').carId));

  server.post('/api/cars/:carId/builds', async ({ params, body }, reply) => {
    const { carId } = checked(carParams, params, 'address');
    const made = desk.addBuild(carId, checked(newBuild, body, 'build'));
    reply.code(201);
    return made;
  });

  server.get('/api/builds/:buildId', async ({ params }) => desk.build(checked(buildParams, params, 'address').buildId));

  server.get('/api/builds/:buildId/match', async ({ params, query }) =>
    desk.match(checked(buildParams, params, 'address').buildId, checked(airQuery, query, 'query')),
  );

  server.get('/api/builds/:buildId/cylinder', async ({ params, query }) => {
    const { rpm, ...air } = checked(cylinderQuery, query, 'query');
    return desk.cylinder(checked(buildParams, params, 'address').buildId, { ...air, engineSpeedRpm: rpm });
  });

  server.get('/api/builds/:buildId/spool', async ({ params, query }) => {
    const { gear, from, lift, ...air } = checked(spoolQuery, query, 'query');
    return desk.spool(checked(buildParams, params, 'address').buildId, { ...air, gear, fromRpm: from, liftRpm: lift });
  });

  server.get('/api/builds/:buildId/spool-logged', async ({ params, query }) =>
    desk.spoolLogged(
      checked(buildParams, params, 'address').buildId,
      checked(spoolLoggedQuery, query, 'query').gear ?? null,
    ),
  );

  server.get('/api/builds/:buildId/fuel', async ({ params, query }) =>
    desk.fuel(checked(buildParams, params, 'address').buildId, checked(airQuery, query, 'query')),
  );

  server.get('/api/builds/:buildId/headroom', async ({ params, query }) => {
    const { samples, ...air } = checked(ledgerQuery, query, 'query');
    return desk.headroom(checked(buildParams, params, 'address').buildId, air, samples);
  });

  server.post('/api/builds/:buildId/headroom-works', async ({ params, query, body }, reply) => {
    const { buildId } = checked(buildParams, params, 'address');
    const { samples } = checked(ledgerWork, body, 'request');
    const state = desk.ledgers.start(buildId, samples, checked(airQuery, query, 'query'));
    reply.code(202);
    return state;
  });

  server.get('/api/headroom-works/:workId', async ({ params }) =>
    desk.ledgers.state(checked(workParams, params, 'address').workId),
  );

  server.delete('/api/headroom-works/:workId', async ({ params }) =>
    desk.ledgers.cancel(checked(workParams, params, 'address').workId),
  );

  server.get('/api/cars/:carId/runs', async ({ params }) => desk.runs(checked(carParams, params, 'address').carId));

  const readings = new Readings();
  server.get('/api/readings/:readingId', async ({ params }) =>
    readings.view(checked(readingParams, params, 'address').readingId),
  );

  /** The log of a form, received; `fields` are those that stand before it. */
  const received = async (request: FastifyRequest, signal: AbortSignal | undefined) => {
    const part = await request.file();
    if (part?.fieldname !== 'log') {
      throw new BadInput('no-file', 'No file came with the request: send the log in the form field "log".');
    }
    const bytes = await desk.receive(part.file, signal);
    if (part.file.truncated) {
      desk.garage.drop(bytes);
      throw new server.multipartErrors.RequestFileTooLargeError();
    }
    return { bytes, fileName: part.filename || 'log', fields: part.fields };
  };

  server.post('/api/cars/:carId/runs', async (request, reply) => {
    const { carId } = checked(carParams, request.params, 'address');
    const { build, date, rate, reading } = checked(uploadQuery, request.query, 'query');
    const watch = readings.watch(reading, reply);
    const { bytes, fileName } = await received(request, watch.signal);
    const asked = { carId, buildId: build, fileName, bytes, assumedRateHz: rate ?? null };
    const view = await desk.importRun({ ...asked, ...(date === undefined ? {} : { fileDate: date }) }, watch);
    reply.code(view.already ? 200 : 201);
    return view;
  });

  server.post('/api/loose-logs', async (request, reply) => {
    const { stage, fuel, rate, reading } = checked(looseQuery, request.query, 'query');
    const watch = readings.watch(reading, reply);
    const { bytes, fileName, fields } = await received(request, watch.signal);
    try {
      const field = fields.choices;
      const text = field && !Array.isArray(field) && field.type === 'field' ? String(field.value) : '[]';
      const choices = readChoices(text, 'The field "choices"');
      return await desk.looseRun(
        { stage, fileName, bytes, choices, assumedRateHz: rate ?? null, ...(fuel ? { fuel } : {}) },
        watch,
      );
    } finally {
      desk.garage.drop(bytes);
    }
  });

  server.post('/api/runs/:runId/confirm', async ({ params, query, body }, reply) => {
    const { reading } = checked(confirmQuery, query, 'query');
    const { runId } = checked(runParams, params, 'address');
    return desk.confirmRun(runId, checked(confirm, body, 'confirmation'), readings.watch(reading, reply));
  });

  server.get('/api/runs/:runId', async ({ params }) => desk.run(checked(runParams, params, 'address').runId));

  const tracesAsked = (params: unknown, query: unknown) => {
    const { channels, start, end, points } = checked(tracesQuery, query, 'query');
    const { runId } = checked(runParams, params, 'address');
    return {
      runId,
      channels,
      ...(start === undefined ? {} : { startS: start }),
      ...(end === undefined ? {} : { endS: end }),
      maxPoints: points ?? 2000,
    };
  };
  server.get('/api/runs/:runId/traces', async ({ params, query }) => desk.traces(tracesAsked(params, query)));
  server.get('/api/runs/:runId/predicted', async ({ params, query }) => desk.predicted(tracesAsked(params, query)));
  server.get('/api/runs/:runId/tiles', async ({ params, query }, reply) => {
    const { runId } = checked(runParams, params, 'address');
    reply.type('application/octet-stream');
    return Buffer.from((await desk.tiles({ runId, ...checked(tilesQuery, query, 'query') })).buffer);
  });
};
