import { expect, it } from 'vitest';
import { clamp } from './clamp.ts';

it('clamp holds a value between two', () => {
  expect([clamp(-1, 0, 1), clamp(0.5, 0, 1), clamp(2, 0, 1)]).toEqual([0, 0.5, 1]);
});
