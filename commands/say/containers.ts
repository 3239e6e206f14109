import type { Foretold } from '../../craft/composition.ts';
import { FULL_SHARE, potMl } from '../../craft/vessels.ts';
import type { Container } from '../../storage/containers.ts';
import { counted } from './numbers.ts';
import { sayAmount } from './recipe.ts';

/** "pears in 4 tubs of 2 l": pots that no single container of the venue holds; null where each fits one, or none is known. */
export function sayContainers(foretold: Foretold | null, containers: readonly Container[]): string | null {
  const [largest] = containers;
  if (foretold === null || largest === undefined) return null;
  const seen = new Set<string>();
  const said = foretold.stages.flatMap((stage) => {
    const ml = potMl(stage);
    const name = stage.part ?? '';
    if (seen.has(name) || !(ml > largest.volumeMl * FULL_SHARE)) return [];
    seen.add(name);
    return [`${name === '' ? '' : `${name} `}in ${sayIn(ml, largest)}`];
  });
  return said.length === 0 ? null : `Split it: ${said.join(' · ')}`;
}

function sayIn(ml: number, { name, volumeMl }: Container): string {
  const count = Math.ceil(ml / (volumeMl * FULL_SHARE));
  return `${counted(count, name)} of ${sayAmount({ amount: volumeMl, unit: 'ml' })}, about ${sayAmount({ amount: Math.round(ml / count / 10) * 10, unit: 'ml' })} each`;
}
