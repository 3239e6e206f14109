import { formatAmount } from './amount.ts';
import { printLine } from './print.ts';
import type { Line, Part, Recipe, Step } from './recipe.ts';

const folded = (text: string): string => text.toLowerCase().replace(/\s+/g, ' ').trim();
const partName = (part: Part): string => part.name ?? (part.joins === undefined ? '' : 'the joined pot');
const amountWords = (line: Line): string =>
  line.quantity.is === 'given' ? formatAmount(line.quantity).replace(/ pieces?$/, '') : printLine(line);

/**
 * What changed from one version of a recipe to another, in words a bar lead would use.
 *
 * Not a comparison of text: lines are matched by what they are, in their own pot, so that a note or a space changes nothing.
 *
 * @returns one short phrase a change, none where the two say the same
 *
 * Source: definition.
 */
export function changesBetween(before: Recipe, after: Recipe): string[] {
  const changes: string[] = [];
  if (before.name !== after.name) changes.push(`renamed, was ${before.name}`);
  const said = (what: string, from: string | undefined, to: string | undefined) => {
    if (from !== to) changes.push(`${what} ${from ?? 'not said'} to ${to ?? 'not said'}`);
  };
  said('makes', before.makes && formatAmount(before.makes), after.makes && formatAmount(after.makes));
  said('serves', before.serves?.toString(), after.serves?.toString());
  said('keeps', before.keeps && `${before.keeps.days} days`, after.keeps && `${after.keeps.days} days`);
  said('use by day', before.useByDay?.toString(), after.useByDay?.toString());
  said('glass', before.glass, after.glass);
  said('ice', before.ice, after.ice);
  said('garnish', before.garnish?.join(', '), after.garnish?.join(', '));
  const names = new Set([...before.parts, ...after.parts].map((part) => folded(partName(part))));
  for (const name of names) {
    const from = before.parts.filter((part) => folded(partName(part)) === name);
    const to = after.parts.filter((part) => folded(partName(part)) === name);
    changes.push(...linesBetween(itemsOf(from, 'line'), itemsOf(to, 'line')), ...stepsBetween(itemsOf(from, 'step'), itemsOf(to, 'step')));
  }
  if (JSON.stringify(before.notes ?? []) !== JSON.stringify(after.notes ?? [])) changes.push('notes changed');
  return changes;
}

function itemsOf(parts: readonly Part[], is: 'line'): Line[];
function itemsOf(parts: readonly Part[], is: 'step'): Step[];
function itemsOf(parts: readonly Part[], is: 'line' | 'step'): (Line | Step)[] {
  return parts.flatMap((part) => part.items.filter((item) => item.is === is));
}

function linesBetween(before: readonly Line[], after: readonly Line[]): string[] {
  const left = [...before];
  const changes: string[] = [];
  for (const line of after) {
    const at = left.findIndex((one) => folded(one.name) === folded(line.name));
    const was = at < 0 ? undefined : left.splice(at, 1)[0];
    if (was === undefined) changes.push(`${printLine(line)} added`);
    else if (JSON.stringify(was.quantity) !== JSON.stringify(line.quantity))
      changes.push(`${line.name} ${amountWords(was)} to ${amountWords(line)}`);
    else if ((was.note ?? '') !== (line.note ?? '')) changes.push(`${line.name}: ${line.note ?? 'no note'}`);
  }
  return [...changes, ...left.map((line) => `${printLine(line)} left out`)];
}

function stepsBetween(before: readonly Step[], after: readonly Step[]): string[] {
  const was = before.map((step) => folded(step.text));
  const is = after.map((step) => folded(step.text));
  const gone = before.filter((step) => !is.includes(folded(step.text)));
  const come = after.filter((step) => !was.includes(folded(step.text)));
  const changes: string[] = [];
  while (gone.length > 0 || come.length > 0) {
    const from = gone.shift();
    // A step that begins alike is the same step changed: "rest 24 h" to "rest 36 h".
    const at = come.findIndex((step) => from === undefined || step.verb === from.verb);
    const to = at < 0 ? undefined : come.splice(at, 1)[0];
    if (from === undefined) changes.push(`"${to?.text ?? ''}" added`);
    else changes.push(to === undefined ? `"${from.text}" left out` : `"${from.text}" to "${to.text}"`);
  }
  if (changes.length === 0 && was.join('\n') !== is.join('\n')) changes.push('the order of the steps');
  return changes;
}
