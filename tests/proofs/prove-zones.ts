import { proveZones } from './zones.ts';

/** npm run prove:zones */
const { zones, changes, checks, wrong } = proveZones();
for (const one of wrong.slice(0, 40)) console.error(one);
console.log(`${zones} zones, ${changes} changes from 2024 to 2030, ${checks} wall times, wrong ${wrong.length}`);
process.exit(wrong.length === 0 && changes > 500 ? 0 : 1);
