/** Calls to the server. Every refusal comes back as one {@link Refused} with the server's own sentence. */
import type {
  ApiError,
  BuildsView,
  BuildView,
  CarsView,
  ConfirmRequest,
  HeadroomView,
  MatchView,
  NewBuildRequest,
  NewCarRequest,
  PredictedView,
  RunsView,
  RunView,
  TracesView,
} from '../../src/app/api.ts';

import type { LooseRunView } from '../../src/app/loose-api.ts';

/** A call that was refused or did not get through. */
export class Refused extends Error {
  override readonly name = 'Refused';
  readonly code: string;
  readonly problems: NonNullable<ApiError['problems']>;
  constructor(code: string, says: string, problems: NonNullable<ApiError['problems']> = []) {
    super(says);
    this.code = code;
    this.problems = problems;
  }
}

const isApiError = (value: unknown): value is ApiError =>
  typeof value === 'object' && value !== null && 'says' in value && typeof (value as ApiError).says === 'string';

const refusalOf = (status: number, body: unknown): Refused => {
  if (isApiError(body)) return new Refused(body.code, body.says, body.problems);
  return new Refused(
    'unreadable-answer',
    `The server answered ${status} without saying why. Look at its window, then try again.`,
  );
};

const NOT_REACHED = new Refused(
  'not-reached',
  'Boostwright does not answer. Nothing is lost: start it again with npm start, then try again.',
);

/** One call; throws {@link Refused}. */
export const call = async <T>(address: string, init?: RequestInit): Promise<T> => {
  let response: Response;
  try {
    response = await fetch(`/api${address}`, init);
  } catch {
    throw NOT_REACHED;
  }
  let body: unknown;
  try {
    body = await response.json();
  } catch {
    throw refusalOf(response.status, null);
  }
  if (!response.ok) throw refusalOf(response.status, body);
  return body as T;
};

/** One call that sends JSON. */
export const send = <T>(address: string, body: unknown): Promise<T> =>
  call<T>(address, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) });

/** A name in an address. */
export const id = encodeURIComponent;

export const fetchCars = () => call<CarsView>('/cars');
export const fetchBuilds = (carId: string) => call<BuildsView>(`/cars/${id(carId)}/builds`);
export const fetchBuild = (buildId: string) => call<BuildView>(`/builds/${id(buildId)}`);
export const fetchMatch = (buildId: string) => call<MatchView>(`/builds/${id(buildId)}/match`);
/** Quick: from few samples. A page that shows the ledger refines it (state/refine.ts). */
export const fetchHeadroom = (buildId: string) => call<HeadroomView>(`/builds/${id(buildId)}/headroom?samples=200`);
export const fetchRuns = (carId: string) => call<RunsView>(`/cars/${id(carId)}/runs`);
export const fetchRun = (runId: string) => call<RunView>(`/runs/${id(runId)}`);

/** Channels of a run over a stretch of its clock [s]; the whole run when no stretch is given. */
export const fetchTraces = (
  runId: string,
  channels: readonly string[],
  stretch?: { readonly startS: number; readonly endS: number },
  points = 2000,
) => {
  const query = new URLSearchParams({ channels: channels.join(','), points: String(points) });
  if (stretch) {
    query.set('start', String(stretch.startS));
    query.set('end', String(stretch.endS));
  }
  return call<TracesView>(`/runs/${id(runId)}/traces?${query}`);
};

/** What the build predicts for channels of a run during the pulls of a stretch. */
export const fetchPredicted = (
  runId: string,
  channels: readonly string[],
  { startS, endS }: { readonly startS: number; readonly endS: number },
  points: number,
) => {
  const query = new URLSearchParams({
    channels: channels.join(','),
    points: String(points),
    start: String(startS),
    end: String(endS),
  });
  return call<PredictedView>(`/runs/${id(runId)}/predicted?${query}`);
};

/** A car with its first build. */
export const makeCar = (request: NewCarRequest) => send<BuildView>('/cars', request);

export const saveBuild = (carId: string, request: NewBuildRequest) =>
  send<BuildView>(`/cars/${id(carId)}/builds`, request);

/** What a sender hears: the share sent, then the share read, each 0 to 1. */
export interface SendingWatch {
  readonly sent: (share: number) => void;
  readonly read: (share: number) => void;
  /** Calls it off: nothing is kept. */
  readonly signal: AbortSignal;
}

const ASK_EVERY_MS = 400;

/** Posts and hears how far it is. XMLHttpRequest because fetch cannot report how much it has sent. */
const postWatched = <T>(
  address: string,
  query: URLSearchParams,
  body: FormData | object,
  { sent, read, signal }: SendingWatch,
  calledOff: string,
): Promise<T> =>
  new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    const reading = crypto.randomUUID();
    query.set('reading', reading);
    request.open('POST', `/api${address}?${query}`);
    let asking: ReturnType<typeof setInterval> | undefined;
    const ask = async () => {
      try {
        const { share } = await call<{ share: number | null }>(`/readings/${id(reading)}`);
        if (share !== null && request.readyState !== XMLHttpRequest.DONE) read(share);
      } catch {
        // The answer to the post itself says what is wrong.
      }
    };
    request.upload.onprogress = (event) => {
      if (event.lengthComputable) sent(event.loaded / event.total);
    };
    request.upload.onload = () => {
      sent(1);
      asking = setInterval(ask, ASK_EVERY_MS);
    };
    const hear = () => request.abort();
    signal.addEventListener('abort', hear);
    request.onloadend = () => {
      clearInterval(asking);
      signal.removeEventListener('abort', hear);
    };
    request.onabort = () => reject(new Refused('stopped', calledOff));
    request.onerror = () => reject(NOT_REACHED);
    request.onload = () => {
      let answer: unknown = null;
      try {
        answer = JSON.parse(request.responseText);
      } catch {
        answer = null;
      }
      if (request.status >= 200 && request.status < 300 && answer !== null) resolve(answer as T);
      else reject(refusalOf(request.status, answer));
    };
    if (signal.aborted) {
      reject(new Refused('stopped', calledOff));
      return;
    }
    if (body instanceof FormData) request.send(body);
    else {
      request.setRequestHeader('content-type', 'application/json');
      request.send(JSON.stringify(body));
    }
  });

/** Sends a log and hears how far it is. */
export const sendLog = (
  carId: string,
  buildId: string,
  file: File,
  options: { readonly rateHz?: number; readonly watch: SendingWatch },
): Promise<RunView> => {
  const zoneMs = 60_000 * new Date(file.lastModified).getTimezoneOffset();
  const date = new Date(file.lastModified - zoneMs).toISOString().slice(0, 19);
  const query = new URLSearchParams({ build: buildId, date });
  if (options.rateHz !== undefined) query.set('rate', String(options.rateHz));
  const form = new FormData();
  form.append('log', file, file.name);
  const calledOff = `${file.name} was called off; nothing was kept.`;
  return postWatched(`/cars/${id(carId)}/runs`, query, form, options.watch, calledOff);
};

/** Reads or reviews a log that belongs to no car, and hears how far it is. */
export const readLooseLog = (
  file: File,
  {
    stage,
    fuel,
    choices,
    rateHz,
    watch,
  }: {
    readonly stage: 'read' | 'review';
    readonly fuel: 'petrol' | 'diesel';
    readonly choices: ConfirmRequest['choices'];
    readonly rateHz: number | undefined;
    readonly watch: SendingWatch;
  },
): Promise<LooseRunView> => {
  const query = new URLSearchParams({ stage, fuel });
  if (rateHz !== undefined) query.set('rate', String(rateHz));
  const form = new FormData();
  // Fields stand before the file: the server hears them first.
  form.append('choices', JSON.stringify(choices));
  form.append('log', file, file.name);
  return postWatched('/loose-logs', query, form, watch, `${file.name} was called off; nothing was kept.`);
};

/** Confirms the channels of a run and hears how far its reading is. */
export const confirmRun = (runId: string, request: ConfirmRequest, watch: SendingWatch): Promise<RunView> =>
  postWatched(
    `/runs/${id(runId)}/confirm`,
    new URLSearchParams(),
    request,
    watch,
    'The review was called off; the run stays as it was.',
  );
