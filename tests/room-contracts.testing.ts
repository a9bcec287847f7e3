/** A room's own sources as its checks see them: every exported value with the docstring above it, and the value itself. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

export interface ExportedValue {
  readonly file: string;
  readonly name: string;
  /** Text of the docstring right above; empty where there is none. */
  readonly docstring: string;
  /** Names of the parameters of an arrow function, in their order. */
  readonly parameters: readonly string[];
  /** Its written result type; empty where there is none. */
  readonly result: string;
}

export interface RoomSources {
  /** Names of the files that hold code: no face, tests, benches, fixtures or declarations. */
  readonly files: readonly string[];
  readonly read: (file: string) => string;
  readonly exported: readonly ExportedValue[];
}

const exportsOf = (file: string, text: string): ExportedValue[] =>
  [...text.matchAll(/^export (?:const|function|class) (\w+)/gm)].map((match) => {
    const before = text.slice(0, match.index).trimEnd();
    const name = match[1]!;
    const [, head = '', result = ''] =
      new RegExp(`^export const ${name} = \\(([\\s\\S]*?)\\)(?:: ([^=]+))? =>`, 'm').exec(text) ?? [];
    return {
      file,
      name,
      docstring: before.endsWith('*/') ? before.slice(before.lastIndexOf('/**')) : '',
      parameters: [...head.matchAll(/(?:^|[,(]\s*|\n\s*)(\w+)\s*(?:\?|:|=)/g)].map((found) => found[1]!),
      result,
    };
  });

export const readRoom = (folder: string): RoomSources => {
  const read = (file: string): string => readFileSync(join(folder, file), 'utf8');
  const files = readdirSync(folder).filter(
    (name) => name.endsWith('.ts') && name !== 'index.ts' && !/\.(test|bench|testing|fixture|d)\.ts$/.test(name),
  );
  return { files, read, exported: files.flatMap((file) => exportsOf(file, read(file))) };
};

/** Every exported value of those files by its name, whether or not the room's face shows it. */
export const valuesOf = async (folder: string, files: readonly string[]): Promise<Record<string, unknown>> => {
  const modules = await Promise.all(
    files.map((file) => import(/* @vite-ignore */ pathToFileURL(join(folder, file)).href) as Promise<object>),
  );
  return Object.assign({}, ...modules) as Record<string, unknown>;
};

/** Values that have neither a unit in brackets nor a source in their docstring. */
export const withoutContract = (exported: readonly ExportedValue[]): string[] =>
  exported
    .filter(({ docstring }) => !/\[[^\]]+\]|Source:|Definition|definition/.test(docstring))
    .map(({ file, name }) => `${file}: ${name}`);

/** Parameters that a docstring with `@param` lines leaves out; single letters and options speak for themselves. */
export const unnamedParameters = (exported: readonly ExportedValue[]): string[] =>
  exported
    .filter(({ docstring }) => docstring.includes('@param'))
    .flatMap(({ file, name, docstring, parameters }) =>
      parameters
        .filter((parameter) => parameter !== '_' && parameter !== 'options' && !/^[a-z]$/.test(parameter))
        .filter((parameter) => !docstring.includes(`@param ${parameter}`))
        .map((parameter) => `${file}: ${name}(${parameter})`),
    );
