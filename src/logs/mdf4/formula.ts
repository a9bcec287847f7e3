/** Formulas of algebraic conversions: X, numbers, + - * / ^, brackets and the usual functions, turned into a function without evaluating code. */

export type Formula = (x: number) => number;

const FUNCTIONS: Readonly<Record<string, (...values: number[]) => number>> = {
  sin: Math.sin,
  cos: Math.cos,
  tan: Math.tan,
  asin: Math.asin,
  acos: Math.acos,
  atan: Math.atan,
  arcsin: Math.asin,
  arccos: Math.acos,
  arctan: Math.atan,
  sinh: Math.sinh,
  cosh: Math.cosh,
  tanh: Math.tanh,
  exp: Math.exp,
  ln: Math.log,
  log: Math.log,
  log10: Math.log10,
  sqrt: Math.sqrt,
  abs: Math.abs,
  sgn: Math.sign,
  floor: Math.floor,
  ceil: Math.ceil,
  round: Math.round,
  min: Math.min,
  max: Math.max,
  pow: (a = Number.NaN, b = Number.NaN) => a ** b,
};

const TOKEN = /\s*(\d+(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?|[A-Za-z_]\w*|\*\*|[-+*/^(),])/y;
const LONGEST = 400;
const DEEPEST = 60;

const tokensOf = (text: string): string[] | null => {
  if (text.length > LONGEST) return null;
  const tokens: string[] = [];
  TOKEN.lastIndex = 0;
  while (TOKEN.lastIndex < text.length) {
    const from = TOKEN.lastIndex;
    const match = TOKEN.exec(text);
    if (!match) return text.slice(from).trim() === '' ? tokens : null;
    tokens.push(match[1]!);
  }
  return tokens;
};

/** What stands for the raw value: X in MDF 4, X1 in formulas taken over from MDF 3. */
const isVariable = (name: string): boolean => /^x1?$/i.test(name);

/**
 * Reads a formula (CCBLOCK of type 3, ASAM's general expression syntax as far as it is arithmetic), or null when it says
 * something that is not known here: such a channel is refused with its reason, never read wrong. Powers bind from the
 * right and before a sign; `log` is the natural logarithm.
 */
export const formulaOf = (text: string): Formula | null => {
  const tokens = tokensOf(text);
  if (!tokens || tokens.length === 0) return null;
  let at = 0;
  let depth = 0;
  const fail = Symbol('no formula');

  const sum = (): Formula => {
    let left = product();
    while (tokens[at] === '+' || tokens[at] === '-') {
      const [a, isPlus] = [left, tokens[at++] === '+'];
      const b = product();
      left = isPlus ? (x) => a(x) + b(x) : (x) => a(x) - b(x);
    }
    return left;
  };
  const product = (): Formula => {
    let left = signed();
    while (tokens[at] === '*' || tokens[at] === '/') {
      const [a, isTimes] = [left, tokens[at++] === '*'];
      const b = signed();
      left = isTimes ? (x) => a(x) * b(x) : (x) => a(x) / b(x);
    }
    return left;
  };
  const signed = (): Formula => {
    if (++depth > DEEPEST) throw fail;
    try {
      if (tokens[at] === '-') {
        at++;
        const inner = signed();
        return (x) => -inner(x);
      }
      if (tokens[at] === '+') {
        at++;
        return signed();
      }
      const base = atom();
      if (tokens[at] !== '^' && tokens[at] !== '**') return base;
      at++;
      const exponent = signed();
      return (x) => base(x) ** exponent(x);
    } finally {
      depth--;
    }
  };
  const atom = (): Formula => {
    const token = tokens[at++];
    if (token === undefined) throw fail;
    if (token === '(') {
      const inner = sum();
      if (tokens[at++] !== ')') throw fail;
      return inner;
    }
    if (/^[\d.]/.test(token)) {
      const number = Number(token);
      return () => number;
    }
    if (isVariable(token)) return (x) => x;
    if (/^pi$/i.test(token)) return () => Math.PI;
    const name = token.toLowerCase();
    const known = Object.hasOwn(FUNCTIONS, name) ? FUNCTIONS[name]! : null;
    if (!known || tokens[at++] !== '(') throw fail;
    const parts = [sum()];
    while (tokens[at] === ',') {
      at++;
      parts.push(sum());
    }
    if (tokens[at++] !== ')') throw fail;
    const [first, second] = parts;
    if (parts.length === 1) return (x) => known(first!(x));
    return parts.length === 2 ? (x) => known(first!(x), second!(x)) : (x) => known(...parts.map((part) => part(x)));
  };

  try {
    const formula = sum();
    return at === tokens.length ? formula : null;
  } catch (error) {
    if (error === fail) return null;
    throw error;
  }
};
