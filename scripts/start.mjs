// npm start: the same as "boostwright serve", with what set-up it needs.
process.argv.splice(2, 0, 'serve');
await import('./boostwright.mjs');
