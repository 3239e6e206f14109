import { formatAmount } from '../../craft/amount.ts';
import type { Amount, Kept, Line, LineAmount, Part, Recipe, Step } from '../../craft/recipe.ts';
import type { Block } from '../command.ts';
import { lead } from './card.ts';
import { counted } from './numbers.ts';

/** A count says its number alone: the name says of what. */
export function sayAmount(amount: Amount): string {
  const shown = formatAmount(amount);
  return amount.unit === 'piece' ? shown.replace(/ pieces?$/, '') : shown;
}

/** "60 ml gin, chilled"; "juice of 2 lemons"; "salt, 2 % of all". */
export function sayLine(line: Line): string {
  const said = sayQuantity(line.quantity, line.name);
  return line.note === undefined ? said : `${said}, ${line.note}`;
}

function sayQuantity(quantity: LineAmount, name: string): string {
  switch (quantity.is) {
    case 'given':
      return `${sayAmount(quantity)} ${name}`;
    case 'juice-of':
      return `juice of ${quantity.count}${quantity.countHigh === undefined ? '' : `–${quantity.countHigh}`} ${name.replace(/ juice$/, '')}`;
    case 'top':
      return quantity.of === undefined ? `top with ${name}` : `top with ${sayAmount(quantity.of)} ${name}`;
    case 'fill-to':
      return `top to ${sayAmount(quantity.to)} with ${name}`;
    case 'make-up-to':
      return `${name} to ${sayAmount(quantity.to)}`;
    case 'share':
      return `${name}, ${quantity.pct} % of ${quantity.of}`;
    case 'per':
      return `${name}, ${sayAmount(quantity.take)} per ${quantity.per.amount === 1 ? quantity.per.unit : sayAmount(quantity.per)}${quantity.of === 'all' ? '' : ` of ${quantity.of}`}`;
    case 'weight-of':
      return `${name}, ${quantity.factor === 1 ? 'same weight as' : quantity.factor === 0.5 ? 'half the weight of' : `${quantity.factor} × the weight of`} ${quantity.of === 'got' ? 'what was got' : quantity.of}`;
    case 'to-taste':
      return `${name}, to taste`;
  }
}

/** A step without what it keeps: that is said once, on a line of its own. */
function sayStep(step: Step): string {
  return step.text
    .replace(/[,;]?\s*(?:and )?keep(?:ing)?\b.*$/iu, '')
    .replace(/(\d)\s*-\s*(\d)/gu, '$1–$2')
    .trim();
}

/** One pot: its name (or "then" for a joined one), what goes in, what is done. */
export function sayPart(part: Part, first: boolean): Block {
  const said: string[] = [];
  if (part.joins !== undefined) said.push(sayJoins(part.joins));
  for (const item of part.items) {
    const text = item.is === 'line' ? sayLine(item) : sayStep(item);
    if (text !== '') said.push(text);
  }
  const text = said.join(' · ');
  const name = part.name ?? (part.joins === undefined ? null : 'then');
  return name === null && first ? { is: 'text', text } : lead(name ?? 'then', text);
}

export function sayJoins(joins: NonNullable<Part['joins']>): string {
  const [one, two, ...more] = joins.of.map((joined) =>
    joined.share === 1
      ? joined.part
      : joined.share === 0.5
        ? `half of ${joined.part}`
        : `${Math.round(joined.share * 100)} % of ${joined.part}`,
  );
  if (one === undefined) return joins.how;
  if (two === undefined) return `${joins.how} ${one}`;
  if (joins.how === 'pour') return `pour ${one} onto ${[two, ...more].join(' and ')}`;
  return more.length === 0 ? `${joins.how} ${one} and ${two}` : `${joins.how} ${[one, two, ...more].join(', ')}`;
}

export function keptOf(recipe: Recipe): readonly Kept[] {
  return recipe.parts.flatMap((part) => part.items.flatMap((item) => (item.is === 'step' ? (item.keeps ?? []) : [])));
}

/** A run of low lines or dots that somebody fills in by hand. */
const BLANK = /_{2,}|\.{4,}/u;

/** What the sheet leaves open for whoever starts it: "ricotta: opened ____", "pH ____ initials ____". */
export function blanksOf(recipe: Recipe): readonly string[] {
  const ofItem = (item: Line | Step): string[] => {
    if (item.is === 'step') return BLANK.test(item.text) ? [item.text] : [];
    const said = `${item.name} ${item.note ?? ''}`;
    return BLANK.test(said) ? [item.note === undefined ? item.name : `${item.name}: ${item.note}`] : [];
  };
  return [...recipe.parts.flatMap((part) => part.items.flatMap(ofItem)), ...(recipe.notes ?? []).filter((note) => BLANK.test(note))];
}

/** The whole recipe: a block a pot, what it leaves, what is said of the glass. */
export function sayRecipe(recipe: Recipe): Block[] {
  const blocks = recipe.parts.map((part, index) => sayPart(part, index === 0));
  const kept = keptOf(recipe).map((one) => (one.expected === undefined ? one.name : `about ${sayAmount(one.expected)} ${one.name}`));
  if (kept.length > 0) blocks.push({ is: 'text', text: `leaves ${kept.join(' and ')}` });
  const served = [
    recipe.glass === undefined ? '' : `glass: ${recipe.glass}`,
    recipe.ice === undefined ? '' : `ice: ${recipe.ice}`,
    recipe.garnish === undefined ? '' : `garnish: ${recipe.garnish.join(', ')}`,
    recipe.keeps === undefined
      ? ''
      : `keeps ${counted(recipe.keeps.days, 'day')}${recipe.keeps.place === undefined ? '' : `, ${recipe.keeps.place}`} (taste)`,
    recipe.useByDay === undefined ? '' : `use by day ${recipe.useByDay} (house)`,
    ...(recipe.notes ?? []),
  ].filter((text) => text !== '');
  if (served.length > 0) blocks.push({ is: 'text', text: served.join(' · ') });
  return blocks;
}
