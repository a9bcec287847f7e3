/** A log without a car: read and reviewed as far as a log alone allows, with what a build sheet would add. Nothing is kept. */
import type { Garage, ReceivedFile } from '../garage/index.ts';
import type { ChannelChoice, ChannelName } from '../logs/index.ts';
import type { RunView } from './api.ts';
import type { JobWatch } from './compute.ts';
import type { AppCompute } from './jobs.ts';
import type { LooseRunView, SheetGain } from './loose-api.ts';
import type { ReadRequest } from './read-run.ts';

export interface LooseRequest {
  readonly stage: 'read' | 'review';
  readonly fileName: string;
  /** The file, or one that was received and lies aside; its receiver drops it. */
  readonly bytes: Uint8Array | ReceivedFile;
  readonly assumedRateHz: number | null;
  readonly choices: readonly ChannelChoice[];
  /** What the engine burns; asked as a question of the log where it is not said. */
  readonly fuel?: 'petrol' | 'diesel';
}

/** What each part of a build sheet lets a review say, and the channels it needs beside it. Common practice, no source. */
const GAINS: readonly (SheetGain & { readonly from: readonly ChannelName[] })[] = [
  {
    needs: 'displacement, cylinders, rev limit and the turbocharger',
    gives: 'the prediction beside every pull, and crank power from the air, with an airflow meter or without',
    from: ['engine-speed'],
  },
  {
    needs: 'injector flow and the fuel in the tank',
    gives: 'crank power from the fuel injected, and how near the injectors are to static',
    from: ['injector-pulse', 'injector-duty'],
  },
  {
    needs: 'mass, gear ratios, final drive and tyre size',
    gives: 'crank power from the acceleration, the gears, clutch slip and wheel spin',
    from: ['vehicle-speed', 'wheel-speed-driven', 'wheel-speed-undriven', 'acceleration'],
  },
  {
    needs: 'boost target over engine speed',
    gives: 'boost creep, overshoot and taper against what was asked for',
    from: ['manifold-pressure'],
  },
  {
    needs: 'compressor wheel sizes or a compressor map',
    gives: 'how far each pull was from surge, choke and the shaft-speed limit',
    from: ['manifold-pressure', 'compressor-outlet-pressure', 'shaft-speed'],
  },
];

const NOT_REVIEWED = { pulls: [], findings: [], notChecked: [], problems: [] } as const;

/** What a build sheet would add to a log with these channels. */
export const sheetGains = (channels: RunView['channels']): SheetGain[] => {
  const logged = new Set(channels.map(({ channel }) => channel));
  return GAINS.flatMap(({ needs, gives, from }) => (from.some((name) => logged.has(name)) ? [{ needs, gives }] : []));
};

/**
 * Reads or reviews a log that belongs to no car of the garage.
 * @throws BadInput where the file is no log, with one sentence.
 */
export const looseRun = async (
  garage: Garage,
  compute: AppCompute,
  { stage, fileName, bytes, assumedRateHz, choices, fuel }: LooseRequest,
  watch?: JobWatch,
): Promise<LooseRunView> => {
  const asked: ReadRequest = {
    bytes: bytes instanceof Uint8Array ? bytes : { path: bytes.path },
    name: fileName,
    build: null,
    choices,
    remembered: garage.choicesBySet(),
    assumedRateHz,
    ...(fuel === undefined ? {} : { fuel }),
  };
  if (stage === 'read') {
    const { answer } = await compute.run('read', asked, watch);
    return { schema: 'boostwright.loose/1', stage: 'read', ...answer, ...NOT_REVIEWED, buildAdds: [] };
  }
  const { schema: _review, ...answer } = (await compute.run('review', asked, watch)).answer;
  return { ...answer, schema: 'boostwright.loose/1', stage: 'reviewed', buildAdds: sheetGains(answer.channels) };
};
