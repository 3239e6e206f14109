import type { AllergenAnswers } from '../../craft/allergens.ts';
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
