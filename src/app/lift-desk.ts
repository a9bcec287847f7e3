/** What a person asks of the desk about changes of parts: comparisons, kept part options, searches under way. */
import type { BuildRecord, Garage } from '../garage/index.ts';
import { AS_FITTED, fitParts, type PartOptions } from '../lift/index.ts';
import type { Conditions } from '../match/index.ts';
import { conditionsFrom } from './conditions.ts';
import { type AppCompute, compareLifts, searchLifts } from './jobs.ts';
import { KeptAnswers } from './kept-answers.ts';
import { checkSearch, readKeepInside, readPartOptionsValue } from './lift.ts';
import type {
  LiftComparisonView,
  LiftSearchRequest,
  LiftSearchState,
  PartOptionsView,
  PlannedSetRequest,
} from './lift-api.ts';
import { BadInput } from './problems.ts';
import { Works, type WorkWords } from './works.ts';

/** Comparisons and searches kept in memory. */
const MOST_KEPT = 20;

const SEARCH_WORDS: WorkWords<LiftSearchState> = {
  name: 'search',
  called: 'search',
  refused: (searchId, code, says) => ({ searchId, state: 'refused', code, says }),
  cancelled: (searchId) => ({ searchId, state: 'cancelled' }),
};

export class LiftDesk {
  readonly #garage: Garage;
  readonly #compute: AppCompute;
  readonly #compared = new KeptAnswers<LiftComparisonView>(MOST_KEPT);
  readonly #searches = new Works<LiftSearchState>(SEARCH_WORDS, MOST_KEPT);

  constructor(garage: Garage, compute: AppCompute) {
    this.#garage = garage;
    this.#compute = compute;
  }

  /** Calls off what is under way. */
  close(): void {
    this.#searches.close();
  }

  partOptions(carId: string): PartOptionsView {
    const kept = this.#garage.partOptions(carId);
    return {
      carId,
      options: kept ? readPartOptionsValue(kept.options, `The list of part options kept for "${carId}"`) : null,
      savedAt: kept?.saved ?? null,
    };
  }

  savePartOptions(carId: string, options: unknown): PartOptionsView {
    this.#garage.savePartOptions(carId, readPartOptionsValue(options, 'The list of part options'));
    return this.partOptions(carId);
  }

  /** The options sent along, or the car's own. */
  #optionsFor(carId: string, sent: unknown): PartOptions {
    if (sent !== undefined) return readPartOptionsValue(sent, 'The list of part options');
    const { options } = this.partOptions(carId);
    if (!options) {
      throw new BadInput('no-options', 'There are no part options for this car yet: add some, or bring a file in.');
    }
    return options;
  }

  async compare(beforeId: string, afterId: string, given: Partial<Conditions>): Promise<LiftComparisonView> {
    const [before, after] = [this.#garage.build(beforeId), this.#garage.build(afterId)];
    if (before.carId !== after.carId) {
      throw new BadInput('other-car', 'The two builds belong to different cars; choose two builds of one car.');
    }
    const conditions = conditionsFrom(given);
    const options = this.partOptions(before.carId).options ?? undefined;
    const key = JSON.stringify([before.contentHash, after.contentHash, conditions, options]);
    return this.#compared.once(key, () =>
      compareLifts(this.#compute, { before: before.sheet, after: after.sheet, conditions, options }),
    );
  }

  /** Begins a search, or finds the same one under way or done. */
  startSearch(buildId: string, asked: LiftSearchRequest, given: Partial<Conditions>): LiftSearchState {
    const build = this.#garage.build(buildId);
    const options = this.#optionsFor(build.carId, asked.options);
    const request = {
      build: build.sheet,
      options,
      conditions: conditionsFrom(given),
      aim: { targetPowerW: asked.targetPowerW, chance: asked.chance },
      keepInside: readKeepInside(asked.keepInside ?? []),
    };
    checkSearch(request);
    const key = JSON.stringify([build.contentHash, { ...request, build: null }]);
    return (
      this.#searches.find(key) ??
      this.#searches.begin(
        key,
        (searchId) => ({ searchId, state: 'working', stage: 'waiting', done: 0 }),
        async (searchId, signal, tell) => {
          const answer = await searchLifts(this.#compute, request, {
            signal,
            step: ({ stage, done }) => tell({ searchId, state: 'working', stage, done }),
          });
          return { searchId, state: 'done', answer };
        },
      )
    );
  }

  search(searchId: string): LiftSearchState {
    return this.#searches.state(searchId);
  }

  cancelSearch(searchId: string): LiftSearchState {
    return this.#searches.cancel(searchId);
  }

  /** Saves a set of parts as a planned build with this one as its parent. */
  planSet(buildId: string, { label, parts, options: sent }: PlannedSetRequest): BuildRecord {
    const build = this.#garage.build(buildId);
    const options = this.#optionsFor(build.carId, sent);
    for (const { place, option } of parts) {
      if (!options.places.some((one) => one.place === place && one.options.some(({ name }) => name === option))) {
        throw new BadInput('no-such-part', `The part options have no "${option}" at the place "${place}".`);
      }
    }
    const choice = options.places.map(({ place, options: all }) => {
      const wanted = parts.find((part) => part.place === place);
      return wanted ? all.findIndex(({ name }) => name === wanted.option) : AS_FITTED;
    });
    const fitted = fitParts(build.sheet, options, choice);
    if (!fitted.ok) {
      throw new BadInput('bad-build', 'These parts do not make a whole build sheet together.', fitted.problems);
    }
    return this.#garage.addBuild({
      carId: build.carId,
      label,
      planned: true,
      parentId: buildId,
      sheet: { ...fitted.build, name: label },
    });
  }
}
