/** Build sheets as they come from outside. */
import { type Build, checkBuild, parseBuild, type ResolvedBuild, resolveBuild } from '../car/index.ts';
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

/**
 * Reads the text of a build file; `name` is how to call it in sentences.
 * @throws BadInput with every problem and its place.
 */
export const readBuild = (text: string, name: string): ReadBuild => {
  if (text.trim() === '') throw new BadInput('bad-build', `${name} is empty; give a build sheet saved as JSON.`);
  const read = parseBuild(text);
  if (!read.ok) throw refuse(name, read.problems);
  return { build: read.build, resolved: resolveBuild(read.build) };
};

/** The same for a value that is JSON already. */
export const readBuildValue = (value: unknown, name: string): ReadBuild => {
  const read = checkBuild(value);
  if (!read.ok) throw refuse(name, read.problems);
  return { build: read.build, resolved: resolveBuild(read.build) };
};
