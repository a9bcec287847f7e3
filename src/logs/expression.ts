/**
 * Expressions of derived channels, in a plain syntax:
 *
 * - a channel is its name followed by the unit it is to be read in: `manifold-pressure [kPa]`, `engine-speed [rpm]`;
 *   pressures are absolute unless the unit says gauge (`manifold-pressure [kPa gauge]`), but oil, fuel and injection
 *   pressure are gauge unless it says abs;
 * - a column of the file is its name in double quotes: `"AN 3"`, its numbers as they are written;
 * - `+ - * / ^`, brackets, numbers with a decimal point, and abs, min, max, sqrt, exp, ln, log10.
 *
 * `fuel-pressure [kPa gauge] - manifold-pressure [kPa gauge]` is the pressure that the injectors see.
 *
 * Parsed and computed by mathjs (docs/decisions/0004-expressions.md) from a text in which every name has become a plain
 * symbol; of its language only the above is let through.
 */
import {
  absDependencies,
  addDependencies,
  create,
  divideDependencies,
  expDependencies,
  type FactoryFunctionMap,
  log10Dependencies,
  logDependencies,
  type MathNode,
  maxDependencies,
  minDependencies,
  multiplyDependencies,
  parseDependencies,
  powDependencies,
  sqrtDependencies,
  subtractDependencies,
  unaryMinusDependencies,
  unaryPlusDependencies,
} from 'mathjs/number';
import { nearestName } from '../physics/index.ts';
import { CHANNEL_NAMES, type ChannelName } from './types.ts';
import { readUnitText, saysNoUnit, type WrittenUnit } from './unit-text.ts';

/** Something that an expression reads. */
export type ExpressionInput =
  | {
      readonly kind: 'channel';
      readonly channel: ChannelName;
      readonly unit: WrittenUnit | null;
      readonly unitText: string;
    }
  | { readonly kind: 'column'; readonly column: string };

export interface Expression {
  readonly inputs: readonly ExpressionInput[];
  /** Its value for the inputs' numbers, in order; not finite where it has none. */
  readonly valueAt: (numbers: ArrayLike<number>) => number;
}

export type ExpressionResult =
  | { readonly ok: true; readonly expression: Expression }
  /** `says` is a whole sentence. */
  | { readonly ok: false; readonly says: string };

const MOST_CHARACTERS = 600;

/** Functions and how many arguments they take at least and at most. */
const FUNCTIONS: Readonly<Record<string, readonly [number, number]>> = {
  abs: [1, 1],
  sqrt: [1, 1],
  exp: [1, 1],
  ln: [1, 1],
  log10: [1, 1],
  min: [2, 8],
  max: [2, 8],
};
const OPERATORS = new Set(['add', 'subtract', 'multiply', 'divide', 'pow', 'unaryMinus', 'unaryPlus']);

/** What is taken of mathjs: its types call each of these possibly absent. */
const PARTS = {
  absDependencies,
  addDependencies,
  divideDependencies,
  expDependencies,
  log10Dependencies,
  logDependencies,
  maxDependencies,
  minDependencies,
  multiplyDependencies,
  parseDependencies,
  powDependencies,
  sqrtDependencies,
  subtractDependencies,
  unaryMinusDependencies,
  unaryPlusDependencies,
} as FactoryFunctionMap;
const makeMath = () => create(PARTS);
/** Made when the first expression comes: most logs have none. */
let math: ReturnType<typeof makeMath> | null = null;

const refuse = (says: string): ExpressionResult => ({ ok: false, says });

const isChannel = (name: string): name is ChannelName => (CHANNEL_NAMES as readonly string[]).includes(name);

interface Named {
  /** The text with `c0`, `c1`, ... for its names. */
  readonly plain: string;
  /** The text with a number for each name: what is left must be formula. */
  readonly rest: string;
  readonly inputs: readonly ExpressionInput[];
}

const NAMES = /"([^"]*)"|([A-Za-z][A-Za-z0-9]*(?:-[A-Za-z0-9]+)*)\s*\[([^[\]]*)\]/g;

/** Takes the names out, or says in a sentence which is none. */
const takeNames = (text: string): Named | string => {
  const inputs: ExpressionInput[] = [];
  const known = new Map<string, number>();
  let problem: string | null = null;
  const symbolOf = (key: string, make: () => ExpressionInput | string): string => {
    const before = known.get(key);
    if (before !== undefined) return ` c${before} `;
    const made = make();
    if (typeof made === 'string') {
      problem ??= made;
      return ' c0 ';
    }
    known.set(key, inputs.length);
    inputs.push(made);
    return ` c${inputs.length - 1} `;
  };
  const plain = text.replace(
    NAMES,
    (_, column: string | undefined, name: string | undefined, unitText: string | undefined) => {
      if (name === undefined) {
        return symbolOf(`"${column}`, () =>
          column === ''
            ? 'A pair of quotes is empty; put the name of a column in it.'
            : { kind: 'column', column: column ?? '' },
        );
      }
      const unitWritten = (unitText ?? '').trim();
      return symbolOf(`${name.toLowerCase()} ${unitWritten}`, () => {
        const channel = name.toLowerCase();
        if (!isChannel(channel) || channel === 'time') {
          const meant = nearestName(
            channel,
            CHANNEL_NAMES.filter((one) => one !== 'time'),
          );
          return `There is no channel "${name}"${meant ? `; did you mean "${meant}"` : ''}? A column of the file goes in double quotes.`;
        }
        const unit = readUnitText(unitWritten);
        if (!unit && !saysNoUnit(unitWritten)) return `"${unitWritten}" after ${channel} is no unit that is known.`;
        return { kind: 'channel', channel, unit, unitText: unitWritten };
      });
    },
  );
  return problem ?? { plain, rest: text.replace(NAMES, ' 1 '), inputs };
};

/** What stands in the text that the syntax does not have, as a sentence, or null. */
const strangerIn = (rest: string): string | null => {
  const open = rest.indexOf('"');
  if (open >= 0) return 'A quote is opened and not closed.';
  const word = /(?<![A-Za-z0-9_.])[A-Za-z_][A-Za-z0-9_]*(?:-[A-Za-z]+)*/g;
  for (const [name] of rest.matchAll(word)) {
    if (Object.hasOwn(FUNCTIONS, name)) continue;
    const lower = name.toLowerCase();
    if (isChannel(lower)) return `Say the unit that ${lower} is to be read in, in square brackets: ${lower} [...].`;
    const meant = nearestName(lower, [...CHANNEL_NAMES, ...Object.keys(FUNCTIONS)]);
    return `"${name}" is no channel and no function${meant ? `; did you mean "${meant}"?` : `; functions are ${Object.keys(FUNCTIONS).join(', ')}.`}`;
  }
  const strange = /[^A-Za-z0-9_.,+\-*/^()\s]/u.exec(rest);
  if (strange) return `"${strange[0]}" has no meaning in an expression; use + - * / ^ and brackets.`;
  let depth = 0;
  for (const character of rest) {
    if (character === '(') depth++;
    if (character === ')' && --depth < 0) return 'A closing bracket has no opening one before it.';
  }
  if (depth > 0) return `${depth === 1 ? 'A closing bracket is' : `${depth} closing brackets are`} missing.`;
  return null;
};

interface AnyNode extends MathNode {
  readonly fn?: { readonly name?: string } | string;
  readonly args?: readonly AnyNode[];
  readonly content?: AnyNode;
  readonly name?: string;
  readonly value?: unknown;
  readonly implicit?: boolean;
}

/** Why a parsed expression is not let through, as a sentence, or null. */
const forbiddenIn = (node: AnyNode): string | null => {
  switch (node.type) {
    case 'ConstantNode':
      return typeof node.value === 'number' && Number.isFinite(node.value) ? null : 'A number in it cannot be read.';
    case 'SymbolNode':
      return /^c\d+$/.test(node.name ?? '') ? null : `"${node.name}" needs its arguments in brackets.`;
    case 'ParenthesisNode':
      return forbiddenIn(node.content!);
    case 'OperatorNode': {
      if (node.implicit) return 'Between two of its parts an operator is missing.';
      if (typeof node.fn !== 'string' || !OPERATORS.has(node.fn))
        return 'It holds an operator that is none of + - * / ^.';
      break;
    }
    case 'FunctionNode': {
      const called = typeof node.fn === 'string' ? node.fn : (node.fn?.name ?? '');
      const name = called === 'log' ? 'ln' : called;
      const takes = Object.hasOwn(FUNCTIONS, name) ? FUNCTIONS[name]! : null;
      if (!takes) return 'Between two of its parts an operator is missing.';
      const count = node.args?.length ?? 0;
      if (count < takes[0] || count > takes[1]) {
        return `${name} takes ${takes[0] === takes[1] ? takes[0] : `${takes[0]} to ${takes[1]}`} ${takes[1] === 1 ? 'argument' : 'arguments'}, not ${count}.`;
      }
      break;
    }
    default:
      return 'It is no plain formula; use numbers, channels, + - * / ^, brackets and functions.';
  }
  for (const argument of node.args ?? []) {
    const found = forbiddenIn(argument);
    if (found) return found;
  }
  return null;
};

/** Reads an expression. What cannot be used comes back as one sentence. Pure: the same text gives the same function. */
export const readExpression = (text: string): ExpressionResult => {
  if (text.trim() === '') return refuse('The expression is empty.');
  if (text.length > MOST_CHARACTERS) return refuse(`The expression is longer than ${MOST_CHARACTERS} characters.`);
  const named = takeNames(text);
  if (typeof named === 'string') return refuse(named);
  const { plain, rest, inputs } = named;
  const strange = strangerIn(rest);
  if (strange) return refuse(strange);
  if (inputs.length === 0) return refuse('The expression reads no channel and no column.');
  math ??= makeMath();
  let node: AnyNode;
  try {
    // mathjs calls the natural logarithm "log".
    node = math.parse!(plain.replace(/\bln\b/g, 'log')) as AnyNode;
  } catch {
    return refuse('The expression breaks off or has two operators together.');
  }
  const forbidden = forbiddenIn(node);
  if (forbidden) return refuse(forbidden);
  const code = node.compile();
  const scope = new Map<string, number>();
  const names = inputs.map((_, i) => `c${i}`);
  return {
    ok: true,
    expression: {
      inputs,
      valueAt: (numbers) => {
        for (let i = 0; i < names.length; i++) scope.set(names[i]!, numbers[i]!);
        const value = code.evaluate(scope as unknown as object) as unknown;
        return typeof value === 'number' ? value : Number.NaN;
      },
    },
  };
};
