import { dayOf, wallOf, wordClock, wordDay, wordInstant } from '../../craft/hours.ts';
import type { Draw, PlannedBatch, Short } from '../../craft/plan-types.ts';
import type { Ingredient } from '../../storage/ingredients.ts';
import type { KeptPlan } from '../../storage/plans.ts';
import type { Venue } from '../../storage/venues.ts';
import type { Block } from '../command.ts';
import type { Item, Planned } from '../planning.ts';
import { lead, list } from './card.ts';
import { money } from './money.ts';
import { counted } from './numbers.ts';
import { sayAmount } from './recipe.ts';

/** Ice a guest, kg. Common practice, no source: 0.5 kg for stirred and built drinks, 0.9 kg where all is shaken. */
const ICE_LOW_KG = 0.5;
const ICE_HIGH_KG = 0.9;
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

/** What is missing and what would have to give. */
function sayShort(short: Short, items: ReadonlyMap<string, Item>, now: number, zone: string): string {
  const item = items.get(short.item);
  const missing = `${sayMg(item, short.mg)} ${item?.name ?? short.item} short`;
  const { why } = short;
  if (why.is === 'no-source') return `${missing}: no recipe here makes it. Buy it in, or fewer serves.`;
  if (why.is === 'not-in-date') return `${missing}: what there is, is not ready or out of date by then. Buy it in, or fewer serves.`;
  const ready = why.readyAt === null ? 'no shift has room for it' : `started now it is ready ${wordInstant(why.readyAt, now, zone)}`;
  return `${missing}: ${ready}. Fewer serves, a shorter rest if its sheet allows one, or buy it in.`;
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
    const left = batch.outputs.filter((output) => output.item !== batch.item && output.fromAt === job.toAt);
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
    plan.how === 'exact'
      ? 'No later first job is possible on these hours.'
      : gapMin <= 0
        ? 'More hands would not let it begin later.'
        : `With more hands the first job could begin up to ${Math.round((gapMin / 60) * 10) / 10} h later.`;
  return `${how}${hoursSet ? '' : ' No hours are set: I plan between 08:00 and 24:00; /venue hours sets them.'} Hands-on minutes are usual ones, no source.`;
}
