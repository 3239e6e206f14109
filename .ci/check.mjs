// Every gate of the house, in order, stopping at the first that is red: `npm run check` here, `.ci/run` on a clean machine.
// The last line is `N passed, N failed`, counted from Vitest's own reports; a red gate counts as one failed.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';

const REPORTS = 'reports';
const TOUR = 'demo/tour.pomace';
const WHOLE_JOB = 'demo/whole-job.pomace';
let passed = 0;
let failed = 0;

/** Ends the run: the one place that prints the last line. */
function end(alsoFailed) {
  failed += alsoFailed;
  process.stdout.write(`${passed} passed, ${failed} failed\n`);
  process.exit(failed > 0 || passed === 0 ? 1 : 0);
}

function run(name, command, args, options = {}) {
  const began = performance.now();
  process.stdout.write(`\n== ${name}\n`);
  const done = spawnSync(command, args, { stdio: ['ignore', 'inherit', 'inherit'], ...options });
  process.stdout.write(`== ${name}: ${done.status === 0 ? 'green' : 'RED'} in ${((performance.now() - began) / 1000).toFixed(1)} s\n`);
  return done;
}

function gate(name, tool, ...args) {
  if (run(name, `node_modules/.bin/${tool}`, args).status !== 0) end(1);
}

/** Runs Vitest in one time zone and adds its count; a run without a single test is red. */
function tests(zone, ...args) {
  const report = `${REPORTS}/vitest-${zone.replaceAll('/', '-')}.json`;
  const done = run(
    `tests, TZ=${zone}`,
    'node_modules/.bin/vitest',
    ['run', '--reporter=default', '--reporter=json', `--outputFile.json=${report}`, ...args],
    {
      env: { ...process.env, TZ: zone },
    },
  );
  if (!existsSync(report)) end(1);
  const { numPassedTests, numFailedTests, numFailedTestSuites } = JSON.parse(readFileSync(report, 'utf8'));
  passed += numPassedTests;
  failed += numFailedTests;
  if (numPassedTests === 0) end(1);
  if (done.status !== 0) end(numFailedTests > 0 ? 0 : Math.max(1, numFailedTestSuites));
}

/** Plays a script through the real client: its output is what the rooms saw, so saying nothing is red. */
function smoke(script) {
  if (!existsSync(script)) return;
  const done = run(`demo, ${script}`, 'npm', ['run', '--silent', 'demo', '--', '--script', script], {
    stdio: ['ignore', 'pipe', 'inherit'],
    env: { ...process.env, CI: '1' },
    timeout: 120_000,
  });
  if (done.status !== 0 || done.stdout.toString().trim() === '') end(1);
}

/** Known holes in what ships, where an upgrade within the ranges mends them. A registry that does not answer is no verdict. */
function audit() {
  process.stdout.write('\n== known holes with a fix\n');
  const asked = spawnSync('npm', ['audit', '--json', '--omit=dev'], { encoding: 'utf8', timeout: 60_000 });
  let answer;
  try {
    answer = JSON.parse(asked.stdout);
  } catch (fault) {
    answer = { error: { summary: String(fault) } };
  }
  if (!answer.vulnerabilities) {
    process.stdout.write(
      `== known holes: not asked, the registry did not answer (${answer.error?.summary || answer.message || 'no reason given'})\n`,
    );
    return;
  }
  const mendable = Object.values(answer.vulnerabilities).filter((hole) => hole.fixAvailable === true);
  for (const hole of mendable) process.stdout.write(`${hole.name} ${hole.range}: ${hole.severity}\n`);
  process.stdout.write(`== known holes with a fix: ${mendable.length}\n`);
  if (mendable.length > 0) end(1);
}

rmSync(REPORTS, { recursive: true, force: true });
mkdirSync(REPORTS);

gate('format', 'biome', 'check', '.');
gate('lint and arrows', 'oxlint', '--type-aware');
gate('types', 'tsc', '--noEmit');
gate('types of the page', 'tsc', '--noEmit', '-p', 'demo/page');
gate('unused', 'knip');
gate('unused in what ships', 'knip', '--production');
if (existsSync('bot/build.mjs') && run('build', 'npm', ['run', '--silent', 'build']).status !== 0) end(1);
tests('UTC');
// The house checks read files and tools, not clocks: once is enough.
tests('Australia/Lord_Howe', '--project', '!house');
smoke(WHOLE_JOB);
smoke(TOUR);
if (process.env.CI) audit();
end(0);
