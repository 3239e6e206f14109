import { dayOf, wallOf, wordClock, wordDay, wordInstant } from '../../craft/hours.ts';
import type { Draw, PlannedBatch, Short } from '../../craft/plan-types.ts';
import type { Ingredient } from '../../storage/ingredients.ts';
import type { KeptChange, KeptJob, KeptPlan } from '../../storage/plans.ts';
import type { Venue } from '../../storage/venues.ts';
import type { Block } from '../command.ts';
import type { Item, Planned } from '../planning.ts';
import { lead, list } from './card.ts';
import { decapital } from './case.ts';
import { money } from './money.ts';
import { counted } from './numbers.ts';
import { sayAmount } from './recipe.ts';

/** Ice a guest, kg. Common practice, no source: 0.5 kg for stirred and built drinks, 0.9 kg where all is shaken. */
const ICE_LOW_KG = 0.5;
const ICE_HIGH_KG = 0.9;
/** Under a gram nobody keeps anything. House rule. */
const LEAST_LEFT_MG = 1000;
const SHOWN_DAYS_LINES = 24;
/** Nobody buys what comes out of the tap. */
const TAP = /^(?:tap |filtered |hot |boiling |cold |warm |still )*water$/i;

/** So many mg of an item, as it is told: "1.36 l", "900 g". */
export function sayMg(item: Item | undefined, mg: number): string {
  const grams = mg / 1000;
  const told = (amount: number) => (amount >= 100 ? Number(amount.toPrecision(3)) : Number(amount.toFixed(1)));
  return item?.densityGPerMl == null
    ? sayAmount({ amount: told(grams), unit: 'g' })
    : sayAmount({ amount: told(grams / item.densityGPerMl), unit: 'ml' });
}

/** "× 1½", nothing for one making. */
export const sayQuarters = (quarters: number): string => (quarters === 4 ? '' : ` × ${Number((quarters / 4).toFixed(2))}`);

/** What goes in at a step: "900 g pears, 300 g sugar". */
export function sayDrawn(batch: PlannedBatch, step: number, items: ReadonlyMap<string, Item>): string {
  const at = batch.jobs[step]?.fromAt;
  const sums = new Map<string, number>();
  for (const drawn of batch.drawn) if (drawn.at === at) sums.set(drawn.item, (sums.get(drawn.item) ?? 0) + drawn.mg);
  return [...sums].map(([item, mg]) => `${sayMg(items.get(item), mg)} ${items.get(item)?.name ?? item}`).join(', ');
}

/** The answer in one line: when the first job is, or what falls short. */
export function headingOf(kept: KeptPlan, planned: Planned, now: number, zone: string): string {
  const { plan, needs } = planned;
  const short = needs.flatMap((need, index) =>
    (plan.met[index] ?? 0) < need.serves ? [`${plan.met[index] ?? 0} of ${need.serves} ${need.name}`] : [],
  );
  const event = `${kept.name}, ${wordInstant(kept.at, now, zone)}`;
  const first = plan.batches.flatMap((batch) => batch.jobs).sort((a, b) => a.fromAt - b.fromAt)[0];
  const begins =
    first === undefined ? 'nothing to start' : `first job ${wordInstant(first.fromAt, now, zone)}, ${first.title.toLowerCase()}`;
  return short.length === 0 ? `${event}: ${begins}` : `${event}: only ${short.slice(0, 2).join(', ')}; ${begins}`;
}

export function sayPlan(kept: KeptPlan, planned: Planned, venue: Venue, prices: readonly Ingredient[], now: number): Block[] {
  const { plan, needs, items } = planned;
  const blocks: (Block | null)[] = [
    list(
      needs.map(
        (need, index) =>
          `${sayNeed(kept, planned, index)}${(plan.met[index] ?? 0) < need.serves ? ` (${plan.met[index] ?? 0} can be served)` : ''}`,
      ),
    ),
    plan.short.length === 0 ? null : list(plan.short.map((short) => sayShort(short, items, now, venue.zone))),
    plan.hurried.length === 0 ? null : { is: 'text', text: `shorter rest than best, inside the window: ${plan.hurried.join(', ')}` },
    splits(planned),
    ...dayBlocks(planned, now, venue.zone),
    ...shopping(kept, planned, venue, prices),
    { is: 'text', text: howWords(planned) },
  ];
  return blocks.filter((block) => block !== null);
}

function sayNeed(kept: KeptPlan, planned: Planned, index: number): string {
  const need = planned.needs[index];
  const asked = kept.needs[index];
  if (need === undefined) return '';
  if (asked?.serves == null && need.per.length === 1 && asked?.amount != null) {
    const [draw] = need.per;
    return draw === undefined ? need.name : `${sayMg(planned.items.get(draw.item), draw.mg * need.serves)} ${need.name}`;
  }
  return `${counted(need.serves, 'serve')} ${need.name}`;
}

/** What is otherwise in a plan that was worked out anew. */
export interface Changed {
  readonly added: readonly { readonly batch: PlannedBatch; readonly job: KeptJob }[];
  /** Batches with another time or size than before. */
  readonly moved: readonly { readonly batch: PlannedBatch; readonly before: KeptJob; readonly after: KeptJob }[];
  readonly dropped: readonly KeptJob[];
  readonly met: readonly number[];
  readonly short: readonly Short[];
}

/** What changed, what cannot be met any more first, with what would have to give; empty where nothing moves. */
export function sayChanged(kept: KeptPlan, changed: Changed, planned: Planned, now: number, zone: string): string[] {
  const clock = (at: number) => wordInstant(at, now, zone);
  const fewer: string[] = [];
  const again: string[] = [];
  for (const [index, need] of planned.needs.entries()) {
    const met = changed.met[index] ?? 0;
    const before = kept.needs[index]?.met ?? need.serves;
    if (met === before) continue;
    const said = `${need.name}: ${sayMet(kept, planned, index, met)} can be ${kept.needs[index]?.amount == null ? 'poured' : 'had'}`;
    if (met < before) fewer.push(`${said}.`);
    else again.push(`${said} again.`);
  }
  const isShort = planned.needs.some((need, index) => (changed.met[index] ?? 0) < need.serves);
  return [
    ...fewer,
    ...(fewer.length === 0 ? [] : changed.short.map((short) => sayShort(short, planned.items, now, zone))),
    ...again,
    ...changed.added.map(
      ({ batch, job }) => `New: start ${batch.name}${sayQuarters(batch.quarters)}${sayGives(batch, planned)}, ${clock(job.fromAt)}.`,
    ),
    ...changed.moved.flatMap(({ batch, before, after }) => {
      const size = before.quarters === after.quarters ? '' : `, × ${timesOf(after.quarters)} now and not × ${timesOf(before.quarters)}`;
      const time = before.fromAt === after.fromAt ? clock(after.fromAt) : `${clock(after.fromAt)} and not ${clock(before.fromAt)}`;
      return `${before.fromAt === after.fromAt ? 'Changed' : 'Moved'}: start ${batch.name}${size === '' ? sayQuarters(after.quarters) : size}${sayGives(batch, planned)}, ${time}.`;
    }),
    ...changed.dropped.map((job) => `${isShort ? 'Given up' : 'Not needed any more'}: ${decapital(job.title)}, ${clock(job.fromAt)}.`),
  ];
}

const timesOf = (quarters: number): number => Number((quarters / 4).toFixed(2));

function sayGives(batch: PlannedBatch, { items }: Planned): string {
  const gives = batch.outputs.find((output) => output.item === batch.item);
  return gives === undefined ? '' : ` (about ${sayMg(items.get(gives.item), gives.mg)})`;
}

/** "52 of 60"; of a house ingredient "about 2.1 l of 3 l". */
function sayMet(kept: KeptPlan, { needs, items }: Planned, index: number, met: number): string {
  const need = needs[index];
  const [draw] = need?.per ?? [];
  if (need === undefined || draw === undefined || kept.needs[index]?.amount == null) return `${met} of ${need?.serves ?? 0}`;
  return `about ${sayMg(items.get(draw.item), draw.mg * met)} of ${sayMg(items.get(draw.item), draw.mg * need.serves)}`;
}

/** What changed on the way, the newest first. */
export function sayHistory(changes: readonly KeptChange[], now: number, zone: string): Block[] {
  return changes.map(({ at, why, lines }) => list([`re-planned ${wordInstant(at, now, zone)}: ${why}`, ...lines]));
}

/** What is missing and what would have to give. */
function sayShort(short: Short, items: ReadonlyMap<string, Item>, now: number, zone: string): string {
  const item = items.get(short.item);
  const missing = `${sayMg(item, short.mg)} ${item?.name ?? short.item} short`;
  const { why } = short;
  if (why.is === 'no-source') return `${missing}: no recipe here makes it. Buy it in, or fewer serves.`;
  if (why.is === 'not-in-date') return `${missing}: what there is, is not ready or out of date by then. Buy it in, or fewer serves.`;
  if (why.is === 'too-many')
    return `${missing}: it would take more than ${why.batches} makings of ${why.name}. A larger container, fewer serves, or buy it in.`;
  const ready = why.readyAt === null ? 'no shift has room for it' : `started now it is ready ${wordInstant(why.readyAt, now, zone)}`;
  return `${missing}: ${ready}. Fewer serves, a shorter rest if its sheet allows one, or buy it in.`;
}

/** "Pear cordial: 2 makings of 9 l": what no single pot holds, and why it is no more at one go. */
function splits({ plan, recipes, items, container }: Planned): Block | null {
  const lines = recipes.flatMap((recipe, index) => {
    const batches = plan.batches.filter((batch) => batch.recipe === index);
    const total = batches.reduce((sum, batch) => sum + batch.quarters, 0);
    const isShort = plan.short.some((short) => short.item === recipe.item) && batches.some((one) => one.quarters === recipe.mostQuarters);
    if (!isShort && total <= recipe.mostQuarters) return [];
    const sizes = new Map<string, number>();
    for (const batch of batches) {
      const gives = batch.outputs.find((output) => output.item === batch.item)?.mg ?? 0;
      const size = sayMg(items.get(recipe.item), gives);
      sizes.set(size, (sizes.get(size) ?? 0) + 1);
    }
    const makings = [...sizes].map(([size, count]) => `${counted(count, 'making')} of ${size}`).join(', ');
    const why =
      recipe.mostBy === 'container' && container !== null
        ? `the largest container, ${container.name} ${sayAmount({ amount: container.volumeMl, unit: 'ml' })}, holds no more at one go`
        : `no more than × ${timesOf(recipe.mostQuarters)} is planned at one go; /venue containers says what your largest holds`;
    return [`${recipe.name}: ${makings}: ${why}`];
  });
  return lines.length === 0 ? null : list(lines);
}

/** Day by day: when, what, how much, who. */
function dayBlocks(planned: Planned, now: number, zone: string): Block[] {
  const { plan, items } = planned;
  const jobs = plan.batches.flatMap((batch) => batch.jobs.map((job) => ({ batch, job }))).sort((a, b) => a.job.fromAt - b.job.fromAt);
  const today = dayOf(now, zone);
  const days = new Map<string, string[]>();
  for (const { batch, job } of jobs.slice(0, SHOWN_DAYS_LINES)) {
    const day = dayOf(job.fromAt, zone);
    const drawn = sayDrawn(batch, job.step, items);
    const isLast = job.step === batch.jobs.length - 1;
    const gives = isLast ? batch.outputs.find((output) => output.item === batch.item) : undefined;
    const left = batch.outputs.filter((output) => output.item !== batch.item && output.fromAt === job.toAt && output.mg >= LEAST_LEFT_MG);
    const line = [
      `${wordClock(wallOf(job.fromAt, zone).min)} ${job.title}${sayQuarters(batch.quarters)}${job.title.includes(batch.name) ? '' : ` (${batch.name})`}`,
      drawn,
      gives === undefined ? '' : `about ${sayMg(items.get(gives.item), gives.mg)}`,
      left.length === 0
        ? ''
        : `leaves ≈${left.map((one) => `${sayMg(items.get(one.item), one.mg)} ${items.get(one.item)?.name ?? ''}`).join(', ')}`,
      job.crew,
    ];
    days.set(day, [...(days.get(day) ?? []), line.filter((part) => part !== '').join(' · ')]);
  }
  const blocks: Block[] = [...days].flatMap(([day, lines]): Block[] => [
    lead(wordDay(day, today), counted(lines.length, 'job')),
    list(lines),
  ]);
  if (jobs.length > SHOWN_DAYS_LINES)
    blocks.push({ is: 'text', text: `and ${jobs.length - SHOWN_DAYS_LINES} more jobs: all are in the calendar file` });
  return blocks;
}

/** What to buy, by kind, in the packs that the venue buys. */
function shopping(kept: KeptPlan, planned: Planned, venue: Venue, prices: readonly Ingredient[]): Block[] {
  const { plan, items, drinks } = planned;
  const kinds = new Map<string, string[]>();
  let minor = 0;
  let unpriced = 0;
  for (const draw of [...plan.bought].sort((a, b) => b.mg - a.mg)) {
    const item = items.get(draw.item);
    if (TAP.test(item?.name ?? '')) continue;
    const pack = packOf(draw, item, prices);
    if (pack === null) unpriced += 1;
    else minor += pack.minor;
    const line = `${sayMg(item, draw.mg)} ${item?.name ?? draw.item}${pack === null ? '' : `: ${pack.text}, ${money(pack.minor, venue.currency)}`}`;
    const kind = item?.kind ?? 'other';
    kinds.set(kind, [...(kinds.get(kind) ?? []), line]);
  }
  const besides: string[] = [];
  if (kept.guests !== null) besides.push(`ice ${Math.round(kept.guests * ICE_LOW_KG)} to ${Math.round(kept.guests * ICE_HIGH_KG)} kg`);
  for (const { recipe, serves } of drinks) for (const garnish of recipe.garnish ?? []) besides.push(`${serves} × ${garnish}`);
  const cost =
    plan.bought.length === 0
      ? []
      : minor === 0
        ? ['no price known']
        : [
            `${unpriced === 0 ? '' : 'at least '}${money(minor, venue.currency)} to buy${unpriced === 0 ? '' : `, ${counted(unpriced, 'thing')} without a price`}`,
          ];
  const lines = [...kinds].map(([kind, all]) => `${kind}: ${all.join(' · ')}`);
  if (lines.length + besides.length === 0) return [];
  return [
    { is: 'rule' },
    lead('to buy', cost[0] ?? ''),
    list([...lines, ...(besides.length === 0 ? [] : [`besides: ${besides.join(' · ')}`])]),
  ];
}

/** Whole packs, as the price says them: "7 × 700 ml". */
function packOf(
  draw: Draw,
  item: Item | undefined,
  prices: readonly Ingredient[],
): { readonly text: string; readonly minor: number } | null {
  if (item === undefined) return null;
  const wanted = item.name.toLowerCase();
  const price = prices.find(
    (one) => one.price !== null && (one.name.toLowerCase() === wanted || `raw:${one.name.toLowerCase()}` === item.key),
  )?.price;
  if (price == null) return null;
  const grams = draw.mg / 1000;
  const each = price.entered / 1000;
  if (price.measure === 'mpc') return null;
  const packs = Math.ceil((price.measure === 'ul' ? grams / (item.densityGPerMl ?? 1) : grams) / each - 1e-9);
  return { text: `${packs} × ${sayAmount({ amount: each, unit: price.measure === 'ul' ? 'ml' : 'g' })}`, minor: packs * price.minor };
}

function howWords({ plan, hoursSet }: Planned): string {
  const gapMin = plan.firstAt === null || plan.freeHandsFirstAt === null ? 0 : (plan.freeHandsFirstAt - plan.firstAt) / 60_000;
  const how =
    plan.how === 'found' && plan.freeHandsFirstAt === null
      ? ''
      : plan.how === 'exact'
        ? 'No later first job is possible on these hours.'
        : gapMin <= 0
          ? 'More hands would not let it begin later.'
          : `With more hands the first job could begin up to ${Math.round((gapMin / 60) * 10) / 10} h later.`;
  return `${how}${hoursSet ? '' : ' No hours are set: I plan between 08:00 and 24:00; /venue hours sets them.'} Hands-on minutes are usual ones, no source.`;
}
