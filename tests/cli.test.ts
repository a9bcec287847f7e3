/** The command line, run as a process: what it prints, on which stream, and how it exits. */
import { execFile } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { type AddressInfo, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseBuild } from '../src/car/index.ts';
import { run } from '../src/cli/command-line.testing.ts';
import { COMMANDS } from '../src/cli/help.ts';
import { openGarage } from '../src/garage/index.ts';
import { boostwright, type Ended, PROGRAM, ROOT } from './program.testing.ts';

const OTTER = 'data/demo/builds/otter-as-driven.json';
const DOZEN = 'data/demo/builds/wren-dozen-numbers.json';
const LOG = 'data/demo/logs/wren-third-gear.csv';

let folder = '';
const put = (name: string, content: string | Uint8Array): string => {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
};

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'cli-'));
  // Builds where needed, so that what the tests see on standard error is the command's own.
  await boostwright('version');
}, 240_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Every number finite, every band in order, no null. */
const soundness = (value: unknown, path = ''): string[] => {
  if (value === null) return [];
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [`${path} is not finite`];
  if (Array.isArray(value)) return value.flatMap((item, index) => soundness(item, `${path}[${index}]`));
  if (typeof value === 'object') {
    const band = value as { p10?: number; p50?: number; p90?: number };
    const { p10, p50, p90 } = band;
    const order =
      p10 !== undefined && p50 !== undefined && p90 !== undefined && !(p10 <= p50 && p50 <= p90)
        ? [`${path} is out of order`]
        : [];
    return [...order, ...Object.entries(value).flatMap(([key, item]) => soundness(item, `${path}.${key}`))];
  }
  return [];
};

describe('help', () => {
  test('teaches without arguments, and each command has its own', async () => {
    const all = await boostwright();
    expect(all).toMatchObject({ code: 0, err: '' });
    for (const command of COMMANDS) {
      if (command === 'help' || command === 'version') continue;
      expect(all.out).toContain(`boostwright ${command}`);
      const [asked, flagged] = await Promise.all([run('help', command), run(command, '--help')]);
      expect(asked.code).toBe(0);
      expect(asked.out).toBe(flagged.out);
      expect(asked.out).toContain('Exit codes');
      expect(asked.out).toMatch(new RegExp(`\n  boostwright ${command}`));
    }
    expect((await boostwright('help', 'match')).out).toBe(`${(await run('help', 'match')).out}\n`);
  });

  test('says the version of the package', async () => {
    const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { version: string };
    expect((await boostwright('--version')).out).toBe(`${version}\n`);
  });
});

describe('match', () => {
  let atSea: Ended;
  beforeAll(async () => {
    atSea = await boostwright('match', OTTER, '--json', '--samples', '16');
  }, 120_000);

  test('prints JSON of the contract, sound, with standard error quiet', () => {
    const { code, out, err } = atSea;
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const answer = JSON.parse(out);
    expect(answer.schema).toBe('boostwright.match/1');
    // Contract: conditions default to standard air. ISO 2533:1975: 101325 Pa, 288.15 K.
    expect(answer.conditions).toEqual({ ambientPressurePa: 101_325, ambientTemperatureK: 288.15, relativeHumidity: 0 });
    expect(soundness(answer)).toEqual([]);
    expect(answer.points.length).toBeGreaterThan(20);
    for (const point of answer.points) {
      expect(['boost held', 'wastegate shut', 'wastegate open']).toContain(point.case);
      // Power is torque times angular speed, for the middle of both bands.
      const watts = (point.torqueNm.p50 * point.engineSpeedRpm * Math.PI) / 30;
      expect(Math.abs(point.powerW.p50 / watts - 1)).toBeLessThan(1e-6);
    }
  });

  test('reads as a table of at most 100 columns, with cautions', async () => {
    const { code, out } = await boostwright('match', OTTER, '--samples', '16', '--units', 'us');
    expect(code).toBe(0);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
    expect(out).toContain('Most power');
    expect(out).toContain('psi');
    expect(out).toContain('Caution:');
  });

  test('thin air gives less power', async () => {
    const air = ['--pressure', '80kPa', '--temperature', '35degC'];
    const high = await boostwright('match', OTTER, '--json', '--samples', '16', ...air);
    const most = (text: string) =>
      Math.max(...(JSON.parse(text).points as { powerW: { p50: number } }[]).map(({ powerW }) => powerW.p50));
    expect(JSON.parse(high.out).conditions).toMatchObject({ ambientPressurePa: 80_000, ambientTemperatureK: 308.15 });
    expect(most(high.out)).toBeLessThan(most(atSea.out));
  });
});

describe('headroom', () => {
  test('prints JSON of the contract, in the order in which parts give out', async () => {
    const { code, out, err } = await boostwright('headroom', OTTER, '--json', '--samples', '16');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const answer = JSON.parse(out);
    expect(answer.schema).toBe('boostwright.headroom/1');
    expect(soundness(answer)).toEqual([]);
    const at = (answer.parts as { powerAtLimitW?: { p50: number } }[])
      .map(({ powerAtLimitW }) => powerAtLimitW?.p50)
      .filter((power) => power !== undefined);
    expect(at.length).toBeGreaterThan(3);
    expect(at).toEqual([...at].sort((a, b) => a - b));
    const chances = (answer.parts as { chanceFirst: number }[]).reduce((sum, { chanceFirst }) => sum + chanceFirst, 0);
    expect(chances).toBeGreaterThan(0);
    expect(chances).toBeLessThan(1.0001);
  });

  test('reads as a table of at most 100 columns, with cautions', async () => {
    const { code, out } = await boostwright('headroom', OTTER, '--samples', '16');
    expect(code).toBe(0);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
    expect(out).toContain('gives out');
    expect(out).toContain('Caution:');
  });
});

describe('lift', () => {
  const FUEL = 'data/demo/builds/otter-fuel.json';
  const OPTIONS = 'data/demo/options/wren-options.json';
  const WREN = 'data/demo/builds/wren-as-driven.json';
  const fewer = () => {
    const options = JSON.parse(readFileSync(join(ROOT, OPTIONS), 'utf8'));
    options.places = options.places.filter(({ place }: { place: string }) => place !== 'turbocharger');
    return put('fewer-options.json', JSON.stringify(options));
  };

  test('two builds: JSON of the contract, the gain of a fuel system nought at the same boost', async () => {
    const { code, out, err } = await boostwright('lift', OTTER, FUEL, '--json', '--samples', '16');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const answer = JSON.parse(out);
    expect(answer).toMatchObject({ schema: 'boostwright.lift/1', kind: 'comparison', cost: null, samples: 16 });
    expect(soundness(answer)).toEqual([]);
    expect(answer.powerW.gain).toEqual({ p10: 0, p50: 0, p90: 0 });
    expect(answer.powerAtFirstLimitW.gain.p10).toBeGreaterThanOrEqual(0);
  });

  test('two builds read as text of at most 100 columns, priced by the options, with cautions', async () => {
    const options = 'data/demo/options/otter-options.json';
    const { code, out } = await boostwright(
      'lift',
      OTTER,
      FUEL,
      '--samples',
      '16',
      '--options',
      options,
      '--units',
      'us',
    );
    expect(code).toBe(0);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
    expect(out).toContain('Cost: 500 EUR');
    expect(out).toContain('First to give out after');
    expect(out).toContain('hp');
    expect(out).toContain('Caution:');
  });

  test('a search answers the cheapest set and the front, in JSON and as text', async () => {
    const args = ['lift', WREN, '--options', fewer(), '--power', '150kW', '--chance', '75%', '--samples', '8'];
    const [json, text] = await Promise.all([boostwright(...args, '--json'), boostwright(...args)]);
    expect({ code: json.code, err: json.err }).toEqual({ code: 0, err: '' });
    const answer = JSON.parse(json.out);
    expect(answer).toMatchObject({
      schema: 'boostwright.lift/1',
      kind: 'search',
      target: { powerW: 150_000, chance: 0.75 },
      counts: { samples: 8, exact: true },
    });
    expect(soundness(answer)).toEqual([]);
    const front = answer.front as { price: number; surePowerW: number; chanceOfTarget: number }[];
    expect(front.map(({ price }) => price)).toEqual(front.map(({ price }) => price).sort((a, b) => a - b));
    const cheapest = front.find(({ chanceOfTarget }) => chanceOfTarget >= 0.75);
    expect(answer.outcome).toMatchObject({ reached: true, cheapest: { price: cheapest?.price } });
    expect(text.code).toBe(0);
    expect(Math.max(...text.out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
    expect(text.out).toContain(`Cheapest that reaches 150 kW in 75 of 100 cases: ${cheapest?.price} EUR.`);
    expect(text.out).toContain('Caution:');
  });

  test('a power that nothing reaches is said with what is missing, and is no error', async () => {
    const { code, out } = await boostwright('lift', WREN, '--options', fewer(), '--power', '600kW', '--samples', '8');
    expect(code).toBe(0);
    expect(out).toMatch(
      /No set of these parts reaches 600 kW before something gives out\. The best falls \d+ kW\s+short:/,
    );
  });
});

describe('review', () => {
  test('prints JSON of the contract', async () => {
    const { code, out, err } = await boostwright(
      'review',
      LOG,
      '--build',
      'data/demo/builds/wren-as-driven.json',
      '--json',
    );
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const answer = JSON.parse(out);
    expect(answer.schema).toBe('boostwright.review/1');
    expect(answer.log).toMatchObject({ file: 'wren-third-gear.csv', dialect: { headerLine: expect.any(Number) } });
    expect(answer.log.sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(answer.pulls.length).toBeGreaterThan(0);
    expect(answer.channels.map(({ channel }: { channel: string }) => channel)).toContain('engine-speed');
    expect(soundness(answer)).toEqual([]);
  });

  test('a map of channels is obeyed, and an earlier answer is one', async () => {
    const plain = JSON.parse((await boostwright('review', LOG, '--json')).out);
    const [throttle] = plain.channels.filter(
      ({ channel }: { channel: string }) => channel === 'throttle' || channel === 'pedal',
    );
    const out = put('map.json', JSON.stringify([{ column: throttle.column, channel: null }]));
    const without = JSON.parse((await boostwright('review', LOG, '--json', '--map', out)).out);
    expect(without.channels.map(({ column }: { column: string }) => column)).not.toContain(throttle.column);
    const earlier = put('earlier.json', JSON.stringify(plain));
    const again = JSON.parse((await boostwright('review', LOG, '--json', '--map', earlier)).out);
    expect(again.channels.map(({ channel }: { channel: string }) => channel)).toEqual(
      plain.channels.map(({ channel }: { channel: string }) => channel),
    );
  });

  test('reads as text of at most 100 columns, with cautions', async () => {
    const { code, out } = await boostwright('review', LOG, '--build', 'data/demo/builds/wren-as-driven.json');
    expect(code).toBe(0);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
    expect(out).toContain('Pull 1:');
    expect(out).toContain('Caution:');
  });
});

test('what cannot be used gets one sentence on standard error alone, and exit 2', async () => {
  const { code, out, err } = await boostwright('review', LOG, '--biuld', OTTER);
  expect({ code, out }).toEqual({ code: 2, out: '' });
  expect(err).toBe('"review" has no option "--biuld"; did you mean "--build"? See "boostwright help review".\n');
});

describe('import', () => {
  test('keeps a log once, byte for byte, with its review', async () => {
    const place = join(folder, 'garage');
    const garage = openGarage(place);
    const car = garage.addCar({ name: 'Wren' });
    const sheet = parseBuild(readFileSync(join(ROOT, DOZEN), 'utf8'));
    if (!sheet.ok) throw new Error('the demo sheet is not readable');
    garage.addBuild({ carId: car.id, label: 'As bought', planned: false, parentId: null, sheet: sheet.build });
    garage.close();

    const first = await boostwright('import', LOG, '--car', 'wren', '--garage', place, '--json');
    expect({ code: first.code, err: first.err }).toEqual({ code: 0, err: '' });
    expect(JSON.parse(first.out)).toMatchObject({
      schema: 'boostwright.review/1',
      run: { id: 'wren-run-1', state: 'reviewed' },
    });
    const second = await boostwright('import', LOG, '--car', 'wren', '--garage', place, '--json');
    expect(second.code).toBe(0);
    expect(second.err).toContain('nothing was added');
    const unknown = await boostwright('import', LOG, '--car', 'otter', '--garage', place);
    expect(unknown).toMatchObject({ code: 2, err: expect.stringContaining('the garage has wren') });

    const kept = openGarage(place);
    expect(kept.runs('wren')).toHaveLength(1);
    expect(Buffer.from(kept.original(kept.run('wren-run-1'))).equals(readFileSync(join(ROOT, LOG)))).toBe(true);
    expect(kept.faults()).toEqual([]);
    kept.close();
  });
});

describe('serve', () => {
  test('a port in use is said in one sentence', async () => {
    const other = createServer();
    await new Promise<void>((listening) => other.listen(0, '127.0.0.1', listening));
    const { port } = other.address() as AddressInfo;
    const { code, err } = await boostwright('serve', '--port', String(port), '--garage', join(folder, 'port-garage'));
    other.close();
    expect(code).toBe(2);
    expect(err).toContain(`Port ${port} is in use`);
  });

  test('a garage that is a file is said in one sentence', async () => {
    const { code, err } = await boostwright('serve', '--port', '0', '--garage', put('file-garage', ''));
    expect(code).toBe(2);
    expect(err).toContain('is not a folder');
  });
});

/** Processor time [ms] of a Node program, the least of five runs: other work on the machine must not decide this. */
const processorMs = async (...args: string[]): Promise<number> => {
  const report =
    "process.on('exit', () => { const { user, system } = process.cpuUsage(); console.error((user + system) / 1000); });";
  const once = () =>
    new Promise<number>((resolve) => {
      execFile(
        process.execPath,
        ['--import', `data:text/javascript,${encodeURIComponent(report)}`, ...args],
        { cwd: ROOT },
        (_error, _out, err) => resolve(Number(err.trim().split('\n').at(-1))),
      );
    });
  const times: number[] = [];
  for (let i = 0; i < 5; i += 1) times.push(await once());
  return Math.min(...times);
};

test('starts in little more than Node itself takes, once built', async () => {
  const bare = await processorMs('--eval', '0');
  const version = await processorMs(PROGRAM, 'version');
  // Node alone takes about 40 ms on the machine this was set on, and 0.4 s is the bar: ten times, with room to spare.
  expect(version / bare).toBeLessThan(5);
}, 60_000);
