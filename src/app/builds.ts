/** Build sheets as they come from outside. */
import {
  type Build,
  type BuildResult,
  checkBuild,
  parseBuild,
  type ResolvedBuild,
  resolveBuild,
} from '../car/index.ts';
import { BadInput } from './problems.ts';

export interface ReadBuild {
  readonly build: Build;
  readonly resolved: ResolvedBuild;
}

const refuse = (name: string, problems: readonly { readonly path: string; readonly says: string }[]): BadInput => {
  const [first] = problems;
  if (problems.length === 1 && first) {
    const place = first.path === '' ? '' : `${first.path}: `;
    return new BadInput('bad-build', `${name} is not a usable build sheet: ${place}${first.says}.`, problems);
  }
  return new BadInput(
    'bad-build',
    `${name} is not a usable build sheet: ${problems.length} things in it need mending.`,
    problems,
  );
};

/** Match, headroom and review are about the turbocharger; without one they would answer beside the question. */
const turbocharged = (build: Build, name: string): ReadBuild => {
  if (build.engine.aspiration === 'natural')
    throw new BadInput(
      'no-turbocharger',
      `${name} is of a naturally aspirated engine, and this answers for turbocharged ones; "boostwright load" works out its fuel flow.`,
      [{ path: 'engine.aspiration', says: 'expected "turbocharged" here' }],
    );
  return { build, resolved: resolveBuild(build) };
};

/**
 * Reads the text of a sheet by the given check.
 * @throws BadInput with every problem and its place.
 */
export const parsedSheet = (text: string, name: string, check: (value: unknown) => BuildResult): Build => {
  if (text.trim() === '') throw new BadInput('bad-build', `${name} is empty; give a build sheet saved as JSON.`);
  const read = parseBuild(text, check);
  if (!read.ok) throw refuse(name, read.problems);
  return read.build;
};

/**
 * Reads the text of a build file; `name` is how to call it in sentences.
 * @throws BadInput with every problem and its place.
 */
export const readBuild = (text: string, name: string): ReadBuild =>
  turbocharged(parsedSheet(text, name, checkBuild), name);

/** The same for a value that is JSON already. */
export const readBuildValue = (value: unknown, name: string): ReadBuild => {
  const read = checkBuild(value);
  if (!read.ok) throw refuse(name, read.problems);
  return turbocharged(read.build, name);
};
