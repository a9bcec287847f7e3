/**
 * All rules over the labelled logs beside the checkout (an independent simulator's, see their README), with the builds
 * their owners would type in. What counts as found, and which second finding beside a fault is right, is read from the
 * scorer that comes with them.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import {
  gearingOf,
  LABELLED,
  onLogClock,
  ownersBuild,
  readText,
  type Table,
  type Truth,
  tableFromScorer,
} from '../../../tests/labelled-logs.ts';
import { type Log, readLog } from '../../logs/index.ts';
import type { Finding } from '../types.ts';
import { asReviewed } from './base-drive.ts';
import { findAll } from './index.ts';

const ROAD = join(import.meta.dirname, '../../../../shared/real');

const SLACK_S = 1;

interface Judged {
  readonly name: string;
  readonly clean: boolean;
  readonly missed: readonly string[];
  readonly faults: number;
  readonly unexplained: readonly string[];
}

const judge = (folder: string, name: string, accept: Table, kin: Table): Judged => {
  const truth = JSON.parse(readText(folder, `${name}.truth.json`)) as Truth;
  const build = ownersBuild(folder, truth);
  const read = readLog(readFileSync(join(LABELLED, folder, truth.log)), { gearing: gearingOf(build.car) });
  if (!read.ok) throw new Error(`${name}: ${read.problem.says}`);
  const { findings } = findAll(read.log, build, asReviewed(read.log));
  const spansOf = (fault: Truth['faults'][number]) =>
    fault.intervals.map(([from, to]) => [onLogClock(truth, from), onLogClock(truth, to)] as const);
  const touches = (one: Finding, spans: readonly (readonly [number, number])[]) =>
    spans.length === 0 || spans.some(([from, to]) => one.startS <= to + SLACK_S && one.endS >= from - SLACK_S);
  const causes = [...truth.faults.map((fault) => fault.id), ...Object.keys(truth.side_effects)].flatMap(
    (id) => accept[id] ?? [],
  );
  const explained = new Set(causes.flatMap((id) => [id, ...(kin[id] ?? [])]));
  return {
    name: `${folder}/${name}`,
    clean: truth.clean,
    faults: truth.faults.length,
    missed: truth.faults
      .filter((fault) => !findings.some((one) => accept[fault.id]?.includes(one.id) && touches(one, spansOf(fault))))
      .map((fault) => `${folder}/${name} ${fault.id}`),
    unexplained: findings
      .filter((one) => one.severity !== 'note' && !explained.has(one.id))
      .map((one) => `${folder}/${name} ${one.id}`),
  };
};

const here = existsSync(join(LABELLED, 'score.py'));
if (!here) console.log('not run: findings over the labelled logs (no ../shared/logs beside the checkout)');

describe('over the labelled logs', () => {
  test.runIf(here)(
    'faults are found and nothing else is',
    () => {
      const accept = tableFromScorer('ACCEPT');
      const kin = tableFromScorer('KIN');
      expect(Object.keys(accept).length).toBeGreaterThan(30);
      expect(Object.keys(kin).length).toBeGreaterThan(15);
      const judged = ['each', 'mixed'].flatMap((folder) =>
        readdirSync(join(LABELLED, folder))
          .filter((file) => file.endsWith('.truth.json'))
          .map((file) => judge(folder, file.replace('.truth.json', ''), accept, kin)),
      );
      const missed = judged.flatMap((one) => one.missed);
      const faults = judged.reduce((sum, one) => sum + one.faults, 0);
      expect(judged.length).toBeGreaterThanOrEqual(76);
      // The bar of the issue is 85 %; one fault in twenty may still be missed.
      expect(missed.length, missed.join(', ')).toBeLessThanOrEqual(Math.floor(faults / 20));
      expect(judged.filter((one) => one.clean).flatMap((one) => one.unexplained)).toEqual([]);
      const unexplained = judged.filter((one) => !one.clean).flatMap((one) => one.unexplained);
      expect(unexplained.length, unexplained.join(', ')).toBeLessThanOrEqual(1);
    },
    240_000,
  );
});

const roadHere = existsSync(join(ROAD, 'road-1.csv'));
if (!roadHere) console.log('not run: findings over the measured road logs (no ../shared/real beside the checkout)');

describe('over measured road logs of a healthy diesel', () => {
  const readRoad = (name: string): Log => {
    const read = readLog(readFileSync(join(ROAD, name)));
    if (!read.ok) throw new Error(read.problem.says);
    return read.log;
  };
  // Their clocks truly have gaps and one step back (their README's table); nothing about the car or its sensors is wrong.
  test.runIf(roadHere).each(['road-1.csv', 'road-2.csv', 'road-3.csv', 'road-4.csv'])(
    '%s: nothing but the clock',
    (name) => {
      const log = readRoad(name);
      const loud = findAll(log, null, asReviewed(log)).findings.filter((one) => one.severity !== 'note');
      expect(loud.filter((one) => one.id !== 'clock-fault')).toEqual([]);
    },
    120_000,
  );
});
