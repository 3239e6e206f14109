import { DatabaseProblem } from '../storage/problem.ts';
import { restoreBackup } from './backup.ts';
import { databasePath } from './config.ts';
import { StartProblem } from './problem.ts';

/** npm run restore -- FILE: puts a backup in the place of POMACE_DATABASE. */
async function main(): Promise<void> {
  const [file, ...more] = process.argv.slice(2);
  if (file === undefined || more.length > 0)
    throw new StartProblem('restore-what', 'Name one backup: npm run restore -- data/backups/pomace-2026-03-05.db');
  const database = databasePath();
  const { rows, kept } = await restoreBackup(file, database);
  process.stdout.write(`Restored ${rows} rows to ${database}.${kept === null ? '' : ` What was there is kept as ${kept}.`}\n`);
}

main().catch((error: unknown) => {
  const known = error instanceof StartProblem || error instanceof DatabaseProblem;
  process.stderr.write(
    `${known ? error.message : `The backup could not be restored: ${error instanceof Error ? error.message : String(error)}`}\n`,
  );
  process.exit(1);
});
