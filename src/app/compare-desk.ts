/** What a person asks of the desk about several runs: compared with each other, and all their pulls looked through. */
import type { Garage, RunRecord } from '../garage/index.ts';
import type { SideRequest } from './compare.ts';
import type { CompareView, PullsView } from './compare-api.ts';
import type { AppCompute } from './jobs.ts';
import { KeptAnswers } from './kept-answers.ts';
import { BadInput, refusalOf } from './problems.ts';
import { findPulls, type PullsAsk, runsToRead } from './pulls.ts';
import { confirmRun, keptOf, requestFor } from './runs.ts';

/** Comparisons kept in memory. */
const MOST_KEPT = 20;

/** A run and one of its pulls, from 1; without a pull the one that has most in common with the others. */
export interface RunPull {
  readonly runId: string;
  readonly pull?: number;
}

/** Reads "RUN" or "RUN:PULL". */
export const readRunPull = (text: string): RunPull => {
  const [, runId, pull] = /^([^:]+)(?::([1-9]\d{0,4}))?$/.exec(text.trim()) ?? [];
  if (runId === undefined) {
    throw new BadInput(
      'bad-request',
      `"${text}" is no run; write a run like "otter-run-2", or "otter-run-2:1" for its first pull.`,
    );
  }
  return pull === undefined ? { runId } : { runId, pull: Number(pull) };
};

export class CompareDesk {
  readonly #garage: Garage;
  readonly #compute: AppCompute;
  readonly #compared = new KeptAnswers<CompareView>(MOST_KEPT);
  /** Runs being read, by car. */
  readonly #reading = new Map<string, Promise<void>>();
  /** Why runs could not be read: they are not tried again until the program starts anew. */
  readonly #failed = new Map<string, string>();
  #closed = false;

  constructor(garage: Garage, compute: AppCompute) {
    this.#garage = garage;
    this.#compute = compute;
  }

  close(): void {
    this.#closed = true;
  }

  /** Lays runs of one car on each other. */
  async compare(asked: readonly RunPull[]): Promise<CompareView> {
    const runs = asked.map(({ runId }) => this.#garage.run(runId));
    const [first] = runs;
    const other = runs.find(({ carId }) => carId !== first?.carId);
    if (first && other) {
      throw new BadInput(
        'bad-request',
        `The run "${first.id}" is of the car "${first.carId}" and "${other.id}" of "${other.carId}"; compare runs of one car.`,
      );
    }
    const open = runs.find(({ samples }) => samples === null);
    if (open) {
      throw new BadInput(
        'not-confirmed',
        `The channels of run "${open.id}" are not confirmed yet: confirm them to compare it.`,
      );
    }
    const key = JSON.stringify(runs.map((run, i) => [run.id, asked[i]!.pull ?? 0, run.choices, run.reviewVersion]));
    return this.#compared.once(key, async () => {
      const sides = runs.map((run, i) => this.#sideOf(run, asked[i]!.pull));
      const view = await this.#compute.run('compare', { sides });
      return first ? { ...view, carId: first.carId } : view;
    });
  }

  #sideOf(run: RunRecord, pull: number | undefined): SideRequest {
    const build = this.#garage.build(run.buildId);
    const kept = keptOf(run);
    return {
      ...requestFor(this.#garage, run, run.choices ?? []),
      build: build.sheet,
      logId: run.sha256,
      ...(kept ? { findings: kept.answer.findings } : {}),
      ...(pull === undefined ? {} : { pull }),
      about: {
        runId: run.id,
        buildId: build.id,
        buildLabel: build.label,
        importedAt: run.importedAt,
        driven: run.driven,
      },
    };
  }

  /** Pulls of a car that fit, as far as its runs are read; the rest is read behind. */
  pulls(carId: string, ask: PullsAsk): PullsView {
    const found = findPulls(this.#garage, carId, ask);
    const left = runsToRead(this.#garage, carId);
    const problems = left.flatMap((runId) => {
      const says = this.#failed.get(runId);
      return says === undefined ? [] : [{ runId, says }];
    });
    const waiting = left.length - problems.length;
    if (waiting > 0) this.#read(carId);
    return { ...found, runsToRead: waiting, problems };
  }

  /** The same once every run of the car is read. */
  async allPulls(carId: string, ask: PullsAsk): Promise<PullsView> {
    this.#garage.car(carId);
    await this.#read(carId);
    return this.pulls(carId, ask);
  }

  /** Reads what is waiting, one run after the other so that other work comes in between; once at a time for each car. */
  #read(carId: string): Promise<void> {
    const running = this.#reading.get(carId);
    if (running) return running;
    const work = async () => {
      for (const id of runsToRead(this.#garage, carId).filter((one) => !this.#failed.has(one))) {
        if (this.#closed) return;
        try {
          await this.#readRun(id);
        } catch (error) {
          if (this.#closed) return;
          // One run that cannot be read does not keep the others back: it is named in the answer.
          const says = refusalOf(error)?.says ?? `Boostwright failed on run "${id}": ${String(error)}`;
          this.#failed.set(id, says);
        }
      }
    };
    const done = work().finally(() => this.#reading.delete(carId));
    this.#reading.set(carId, done);
    return done;
  }

  async #readRun(runId: string): Promise<void> {
    const run = this.#garage.run(runId);
    const kept = keptOf(run);
    if (!kept) {
      await confirmRun(this.#garage, this.#compute, runId, { choices: [], remember: false });
      return;
    }
    const pulls = await this.#compute.run('readPulls', {
      ...requestFor(this.#garage, run, run.choices ?? []),
      reviewed: { pulls: kept.answer.pulls, findings: kept.answer.findings },
    });
    if (!this.#closed) this.#garage.pulls.keep(run, pulls);
  }
}
