import { describe, expect, it } from 'vitest';
import { chainSolved, ExpectedSolution, expectSolved, mapSolved, solved, unsolved } from './reason.ts';

describe('answers that may not exist', () => {
  it('passes answers and refusals along', () => {
    expect(mapSolved(solved(2), (x) => x * 3)).toEqual(solved(6));
    const refusal = unsolved<number>('no-convergence', 'It did not converge.');
    expect(mapSolved(refusal, (x) => x * 3)).toEqual(refusal);
    expect(chainSolved(solved(2), () => refusal)).toEqual(refusal);
    expect(chainSolved(refusal, (x) => solved(x))).toEqual(refusal);
    expect(() => expectSolved(refusal)).toThrow(ExpectedSolution);
    expect(() => expectSolved(refusal)).toThrow('no-convergence: It did not converge.');
  });
});
