/** The built bot, with a word to its parent about what it weighs. */
process.on('message', () => {
  globalThis.gc?.();
  process.send?.(process.memoryUsage());
});
const built = process.argv[2] ?? '';
// The bot reads its own arguments; this one is not for it.
process.argv.splice(2);
await import(built);
