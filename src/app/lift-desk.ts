/** What a person asks of the desk about changes of parts: comparisons, kept part options, searches under way. */
import type { BuildRecord, Garage } from '../garage/index.ts';
import { AS_FITTED, fitParts, type PartOptions } from '../lift/index.ts';
import type { Conditions } from '../match/index.ts';
import { conditionsFrom } from './conditions.ts';
import { type AppCompute, compareLifts, searchLifts } from './jobs.ts';
import { checkSearch, readKeepInside, readPartOptionsValue } from './lift.ts';
import type {
  LiftComparisonView,
  LiftSearchRequest,
  LiftSearchState,
  LiftSearchView,
  PartOptionsView,
  PlannedSetRequest,
} from './lift-api.ts';
import { BadInput, refusalOf } from './problems.ts';
import { Cancelled } from './watch.ts';

/** Comparisons and searches kept in memory. */
const MOST_KEPT = 20;

interface Search {
  readonly key: string;
  readonly stop: AbortController;
  state: LiftSearchState;
}

export class LiftDesk {
  readonly #garage: Garage;
  readonly #compute: AppCompute;
  readonly #compared = new Map<string, Promise<LiftComparisonView>>();
  readonly #searches = new Map<string, Search>();
  #count = 0;

  constructor(garage: Garage, compute: AppCompute) {
    this.#garage = garage;
    this.#compute = compute;
  }

  /** Calls off what is under way. */
  close(): void {
    for (const { stop } of this.#searches.values()) stop.abort();
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
    let answer = this.#compared.get(key);
    if (!answer) {
      answer = compareLifts(this.#compute, { before: before.sheet, after: after.sheet, conditions, options });
      answer.catch(() => this.#compared.delete(key));
      this.#compared.set(key, answer);
      for (const oldest of this.#compared.keys()) {
        if (this.#compared.size <= MOST_KEPT) break;
        this.#compared.delete(oldest);
      }
    }
    return answer;
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
    for (const { key: known, state } of this.#searches.values()) {
      if (known === key && (state.state === 'working' || state.state === 'done')) return state;
    }
    const searchId = `search-${++this.#count}`;
    const search: Search = {
      key,
      stop: new AbortController(),
      state: { searchId, state: 'working', stage: 'waiting', done: 0 },
    };
    this.#searches.set(searchId, search);
    for (const [id, { state }] of this.#searches) {
      if (this.#searches.size <= MOST_KEPT) break;
      if (state.state !== 'working') this.#searches.delete(id);
    }
    const finish = (state: LiftSearchState) => {
      search.state = state;
    };
    searchLifts(this.#compute, request, {
      signal: search.stop.signal,
      step: ({ stage, done }) => finish({ searchId, state: 'working', stage, done }),
    }).then(
      (answer: LiftSearchView) => finish({ searchId, state: 'done', answer }),
      (error: unknown) => {
        if (error instanceof Cancelled || search.stop.signal.aborted) return finish({ searchId, state: 'cancelled' });
        const refusal = refusalOf(error);
        finish({
          searchId,
          state: 'refused',
          code: refusal?.code ?? 'fault',
          says: refusal?.says ?? 'Boostwright failed here; try again, and report it if it stays so.',
        });
      },
    );
    return search.state;
  }

  #search(searchId: string): Search {
    const search = this.#searches.get(searchId);
    if (!search) throw new BadInput('not-found', `There is no search "${searchId}" any more; start it again.`);
    return search;
  }

  search(searchId: string): LiftSearchState {
    return this.#search(searchId).state;
  }

  cancelSearch(searchId: string): LiftSearchState {
    const search = this.#search(searchId);
    if (search.state.state === 'working') {
      search.stop.abort();
      search.state = { searchId, state: 'cancelled' };
    }
    return search.state;
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
