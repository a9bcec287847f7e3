import { expect, test } from 'vitest';
import { refusedCaller } from './guard.ts';

test.each([
  [{ host: '127.0.0.1:4680' }],
  [{ host: 'localhost:4680' }],
  [{ host: 'LOCALHOST:4680' }],
  [{ host: '[::1]:4680' }],
  [{ host: '127.0.0.1:4680', origin: 'http://127.0.0.1:4680' }],
  [{ host: '127.0.0.1:4680', origin: 'http://127.0.0.1:4680', 'sec-fetch-site': 'same-origin' }],
])('lets in %o', (headers) => {
  expect(refusedCaller(headers)).toBeNull();
});

// Names that point at 127.0.0.1 (DNS rebinding), pages of other sites, other ports, sandboxed frames ("null").
test.each([
  [{}, 'open it as'],
  [{ host: 'rebound.example:4680' }, 'rebound.example'],
  [{ host: 'localhost.rebound.example' }, 'open it as'],
  [{ host: '127.0.0.1.rebound.example:4680' }, 'open it as'],
  [{ host: '192.168.1.20:4680' }, 'open it as'],
  [{ host: '127.0.0.1:4680', origin: 'https://other.example' }, 'other.example'],
  [{ host: '127.0.0.1:4680', origin: 'http://127.0.0.1:9999' }, '9999'],
  [{ host: '127.0.0.1:4680', origin: 'null' }, 'null'],
  [{ host: '127.0.0.1:4680', 'sec-fetch-site': 'cross-site' }, 'other sites'],
])('keeps out %o', (headers, says) => {
  expect(refusedCaller(headers)).toContain(says);
});
