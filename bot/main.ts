import { destination } from 'pino';
import { readConfig } from './config.ts';
import { openLog } from './log.ts';
import { StartProblem } from './problem.ts';
import { start } from './start.ts';

const FORCED_AFTER_MS = 4800;

/** The entry of `npm start`; with `--check` it only looks whether the settings are right, and writes nothing. */
async function main(): Promise<void> {
  const config = readConfig();
  if (process.argv.includes('--check')) {
    process.stdout.write(
      `Settings are right: database ${config.database}, new venues in ${config.zone}. The token is proved at the start.\n`,
    );
    return;
  }
  const log = openLog({ to: destination({ dest: 1, sync: true }), level: config.logLevel, secrets: [config.token] });
  const begun = start({
    token: config.token,
    database: config.database,
    zone: config.zone,
    log,
    ...(config.healthPort === undefined ? {} : { healthPort: config.healthPort }),
    ...(config.backupsKept === undefined ? {} : { backupsKept: config.backupsKept }),
    ...(config.rest === undefined ? {} : { rest: config.rest }),
  });
  let stopping = false;
  const leave = (): void => {
    if (stopping) process.exit(1);
    stopping = true;
    setTimeout(() => process.exit(1), FORCED_AFTER_MS).unref();
    begun
      .then(async (running) => running.stop())
      .then(
        () => process.exit(0),
        () => process.exit(1),
      );
  };
  process.on('SIGTERM', leave);
  process.on('SIGINT', leave);
  process.on('unhandledRejection', (error) => log.fault('unhandled-rejection', error));
  process.on('uncaughtException', (error) => {
    log.fault('uncaught-exception', error);
    process.exit(1);
  });

  const running = await begun;
  const problem = await running.ended;
  setTimeout(() => process.exit(1), FORCED_AFTER_MS).unref();
  await running.stop();
  throw problem;
}

main().catch((error: unknown) => {
  const lines =
    error instanceof StartProblem
      ? error.message
      : error instanceof Error
        ? `Pomace cannot start: ${error.message}`
        : 'Pomace cannot start.';
  process.stderr.write(`${lines}\n`);
  process.exit(1);
});
