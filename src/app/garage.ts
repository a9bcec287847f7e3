/** The garage as shells use it: opened, and given the demo cars when it is empty. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { type BuildRecord, type Garage, openGarage as open } from '../garage/index.ts';
import { readBuild } from './builds.ts';
import { readPartOptions } from './lift.ts';
import { BadInput } from './problems.ts';

/** Opens (and makes, where there is none) the garage in a folder. */
export const openGarage = (folder: string): Garage => open(folder);

const demoSchema = z.object({
  cars: z.array(
    z.object({
      id: z.string(),
      name: z.string(),
      about: z.string(),
      options: z.string().optional(),
      builds: z.array(z.object({ id: z.string(), file: z.string(), planned: z.boolean() })),
    }),
  ),
  runs: z.array(z.object({ car: z.string(), build: z.string(), file: z.string(), date: z.string(), note: z.string() })),
});

/** One log of the demo garage, to be imported. */
export interface DemoRun {
  readonly carId: string;
  readonly buildId: string;
  readonly fileName: string;
  readonly bytes: Uint8Array;
  readonly note: string;
  readonly drivenAt: string;
}

/**
 * Puts the invented demo cars and their builds into a garage and returns the logs that are still to be imported.
 * A garage that holds a car of its owner's is left alone. Doing it again adds only what is missing, so that a first
 * start that was cut short is finished by the next.
 */
export const seedDemo = (garage: Garage, folder: string): readonly DemoRun[] => {
  if (garage.cars().some(({ demo }) => !demo)) return [];
  const list = join(folder, 'demo.json');
  if (!existsSync(list)) {
    throw new BadInput('no-demo', `The demo garage is missing (${list}); restore the folder from the repository.`);
  }
  const demo = demoSchema.parse(JSON.parse(readFileSync(list, 'utf8')));
  const buildIds = new Map<string, string>();
  const carIds = new Map<string, string>();
  for (const { id, name, about, options, builds } of demo.cars) {
    const car = garage.cars().find((known) => known.name === name) ?? garage.addCar({ name, note: about, demo: true });
    carIds.set(id, car.id);
    if (options !== undefined && garage.partOptions(car.id) === null) {
      garage.savePartOptions(car.id, readPartOptions(readFileSync(join(folder, options), 'utf8'), options));
    }
    // A planned build follows from the build the car is in.
    let driven: string | null = null;
    for (const { id: demoBuildId, file, planned } of builds) {
      const { build: sheet } = readBuild(readFileSync(join(folder, file), 'utf8'), file);
      const label = sheet.name.replace(`${name}: `, '');
      const known = garage.builds(car.id).find((build) => build.label === label);
      const build: BuildRecord = known ?? garage.addBuild({ carId: car.id, label, planned, parentId: driven, sheet });
      buildIds.set(demoBuildId, build.id);
      if (!planned) driven = build.id;
    }
  }
  return demo.runs.flatMap(({ car, build, file, date, note }) => {
    const carId = carIds.get(car);
    const buildId = buildIds.get(build);
    if (carId === undefined || buildId === undefined)
      throw new Error(`demo.json: ${file} names no car or build of the list`);
    const bytes = readFileSync(join(folder, file));
    const run = garage.runOfFile(carId, bytes);
    if (run?.samples) return [];
    return [{ carId, buildId, fileName: file.split('/').at(-1) ?? file, bytes, note, drivenAt: date }];
  });
};
