import { expect, it } from 'vitest';
import { problemsOfPulls } from './problems.ts';

it('says a reason once, with the pulls it is true of', () => {
  expect(problemsOfPulls([['a', 'a'], ['a', 'b'], ['a'], [], ['b'], ['a'], ['a']])).toEqual([
    { about: 'pulls 1 to 3, 6, 7', reason: 'a' },
    { about: 'pulls 2, 5', reason: 'b' },
  ]);
  expect(problemsOfPulls([[], ['c']])).toEqual([{ about: 'pull 2', reason: 'c' }]);
  expect(problemsOfPulls([])).toEqual([]);
});
