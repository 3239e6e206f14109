import type { AllergenAnswers } from '../../craft/allergens.ts';
import { ALLERGENS, type Allergen } from '../../craft/tables/allergens.ts';
import type { RuleSet } from '../../storage/tables.ts';

/** What stands on the sheet, what usually does, and whose pack nobody has read. Never a bare "none". */
export function sayAllergens(answers: AllergenAnswers, ruleSet: RuleSet): (readonly [string, string])[] {
  const list = ruleSet === 'US' ? 'us' : 'eu';
  const on = answers.onSheet[list];
  const usual = answers.usual[list];
  const said: (readonly [string, string])[] = [['on the sheet', on.length === 0 ? 'no allergen of the list' : on.join(', ')]];
  if (usual.length > 0) said.push(['usually too', `${usual.join(', ')}: read the pack`]);
  if (answers.unconfirmed.length > 0) {
    const names = answers.unconfirmed.slice(0, 4).join(', ');
    said.push(['not known for', `${names}${answers.unconfirmed.length > 4 ? ` and ${answers.unconfirmed.length - 4} more` : ''}`]);
  }
  return said;
}

/** Names of the venue's own list for the finest keys, each once. */
export function namesOf(keys: readonly Allergen[], ruleSet: RuleSet): string[] {
  const list = ruleSet === 'US' ? 'us' : 'eu';
  return [...new Set(keys.flatMap((key) => ALLERGENS[key][list] ?? []))];
}

interface ToDeclare {
  readonly on: readonly Allergen[];
  readonly usual: readonly Allergen[];
  readonly unconfirmed: readonly string[];
}

/** "contains milk, sulphites; usually soybeans (read the pack)"; null where there is nothing to say. Never that something is free of anything. */
export function sayDeclared({ on, usual, unconfirmed }: ToDeclare, ruleSet: RuleSet): string | null {
  const contains = namesOf(on, ruleSet);
  const usually = namesOf(usual, ruleSet);
  const said = [
    contains.length === 0 ? null : `contains ${contains.join(', ')}`,
    usually.length === 0 ? null : `usually ${usually.join(', ')} (read the pack)`,
    unconfirmed.length === 0 || usually.length > 0
      ? null
      : `not known for ${unconfirmed.slice(0, 2).join(', ')}${unconfirmed.length > 2 ? ' and more' : ''}`,
  ].filter((one) => one !== null);
  return said.length === 0 ? null : said.join('; ');
}
