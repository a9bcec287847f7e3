/** HTTP in, use cases called, JSON out. Answers on the loopback address only; see guard.ts. */
import multipart from '@fastify/multipart';
import files from '@fastify/static';
import Fastify, { type FastifyError, type FastifyInstance } from 'fastify';
import { type ApiError, Cancelled, type Desk, refusalOf } from '../app/index.ts';
import { refusedCaller } from './guard.ts';
import { addRoutes } from './routes.ts';

/** Largest log that is taken in [bytes]. */
const MOST_LOG_BYTES = 250 * 1000 * 1000;
/** Largest JSON body: a build sheet with a large compressor map stays well below. */
const MOST_JSON_BYTES = 4 * 1000 * 1000;
/** Largest field beside a log: what is said of some thousand columns. */
const MOST_FIELD_BYTES = 500_000;

const STATUS: Readonly<Record<string, number>> = {
  'not-found': 404,
  'already-there': 409,
  'name-taken': 409,
  'newer-build': 409,
  'garage-locked': 409,
  'garage-read-only': 409,
  'disk-full': 409,
};

/** Sentences for what Fastify itself refuses. */
const FASTIFY_SAYS: Readonly<Record<string, readonly [string, string]>> = {
  FST_ERR_CTP_INVALID_MEDIA_TYPE: ['bad-type', 'Send JSON, or a log as a form with one file in the field "log".'],
  FST_ERR_CTP_EMPTY_JSON_BODY: ['bad-json', 'The body is empty; send JSON.'],
  FST_ERR_CTP_INVALID_JSON_BODY: ['bad-json', 'The body is not JSON.'],
  FST_ERR_CTP_BODY_TOO_LARGE: ['too-large', `The body is larger than ${MOST_JSON_BYTES / 1e6} MB; nothing was kept.`],
  FST_REQ_FILE_TOO_LARGE: [
    'too-large',
    `The log is larger than ${MOST_LOG_BYTES / 1e6} MB; nothing was kept. Split it, or log fewer channels.`,
  ],
  FST_FILES_LIMIT: ['too-many-files', 'Send one log at a time.'],
  FST_INVALID_MULTIPART_CONTENT_TYPE: ['bad-type', 'Send the log as a form with one file in the field "log".'],
};

/** Everything loads from this server itself; styles in attributes are what chart libraries write. */
const POLICY = [
  "default-src 'self'",
  "style-src 'self' 'unsafe-inline'",
  "img-src 'self' data: blob:",
  "worker-src 'self' blob:",
  "object-src 'none'",
  "base-uri 'none'",
  "form-action 'self'",
  "frame-ancestors 'none'",
].join('; ');

export interface ServerOptions {
  readonly desk: Desk;
  /** Folder of the built web pages, or null to serve the data only. */
  readonly pages: string | null;
  /** Told about faults of our own. */
  readonly onFault?: (error: unknown) => void;
  readonly mostLogBytes?: number;
}

export const buildServer = async ({
  desk,
  pages,
  onFault = () => {},
  mostLogBytes = MOST_LOG_BYTES,
}: ServerOptions): Promise<FastifyInstance> => {
  const server = Fastify({ bodyLimit: MOST_JSON_BYTES, forceCloseConnections: true });
  server.removeContentTypeParser('text/plain');
  await server.register(multipart, {
    limits: { fileSize: mostLogBytes, files: 1, fields: 4, fieldSize: MOST_FIELD_BYTES },
  });

  server.addHook('onRequest', async (request, reply) => {
    const says = refusedCaller(request.headers);
    if (says !== null) return reply.code(403).send({ code: 'other-site', says } satisfies ApiError);
  });
  server.addHook('onSend', async (request, reply) => {
    reply.header('content-security-policy', POLICY);
    reply.header('x-content-type-options', 'nosniff');
    reply.header('referrer-policy', 'no-referrer');
    reply.header('cross-origin-resource-policy', 'same-origin');
    if (request.url.startsWith('/api/')) reply.header('cache-control', 'no-store');
  });

  server.setErrorHandler((error: FastifyError, _request, reply) => {
    // Whoever called the work off has gone already; nobody reads this answer.
    if ((error as unknown) instanceof Cancelled) {
      return reply
        .code(400)
        .send({ code: 'stopped', says: 'The work was called off; nothing was kept.' } satisfies ApiError);
    }
    const refusal = refusalOf(error);
    if (refusal) {
      const { code, says, problems } = refusal;
      const body: ApiError = problems.length > 0 ? { code, says, problems } : { code, says };
      return reply.code(STATUS[code] ?? 400).send(body);
    }
    const status = error.statusCode ?? 500;
    if (status >= 400 && status < 500) {
      const [code, says] = FASTIFY_SAYS[error.code] ?? ['bad-request', `The request cannot be used: ${error.message}.`];
      return reply.code(status).send({ code, says } satisfies ApiError);
    }
    onFault(error);
    return reply.code(500).send({
      code: 'fault',
      says: 'Boostwright failed here; the details stand where it was started.',
    } satisfies ApiError);
  });

  await addRoutes(server, desk);

  if (pages !== null) {
    await server.register(files, { root: pages, index: 'index.html', cacheControl: true, maxAge: 0 });
  }
  server.setNotFoundHandler((request, reply) => {
    // A page address of the web pages' own (no dot, not the data interface) is answered by the pages.
    const path = request.url.split('?')[0] ?? '/';
    if (pages !== null && request.method === 'GET' && !path.startsWith('/api/') && !path.includes('.')) {
      reply.sendFile('index.html');
      return;
    }
    const says =
      pages === null && !path.startsWith('/api')
        ? 'The web pages are not built here: run "npm start" from a whole checkout.'
        : `There is nothing at ${request.method} ${path}.`;
    reply.code(404).send({ code: 'not-found', says } satisfies ApiError);
  });
  return server;
};
