import { describe, expect, it } from 'vitest';
import { changesBetween } from '../../craft/changes.ts';
import type { Recipe } from '../../craft/recipe.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';

const cordial = parseSheet(PEAR_CORDIAL).recipe;
const changed = (text: string) => changesBetween(cordial, parseSheet(text).recipe);
const between = (before: string, after: string) => changesBetween(parseSheet(before).recipe, parseSheet(after).recipe);
const line = (name: string) => ({ is: 'line', name, quantity: { is: 'given', amount: 10, unit: 'ml' } }) as const;
const step = (text: string, verb: string | null = text.split(' ')[0] ?? null) => ({ is: 'step', text, verb }) as const;
const pot = (...items: Recipe['parts'][number]['items']): Recipe => ({ name: 'Pot', parts: [{ name: null, items }] });

describe('what changed between two versions, in words', () => {
  it('says nothing where only spaces and cases changed', () => {
    expect(changed(PEAR_CORDIAL.replace('600 g pears', '600  g pears'))).toEqual([]);
    expect(changesBetween(pot(line('Lime  juice ')), pot(line('lime juice')))).toEqual([]);
    expect(changesBetween(pot(line('lime juice')), pot(line('limejuice')))).toHaveLength(2);
    expect(changesBetween(pot(step('Rest  24 h')), pot(step('rest 24 h ')))).toEqual([]);
  });
  it('says an amount from and to', () =>
    expect(changed(PEAR_CORDIAL.replace('400 g white sugar', '320 g white sugar'))).toEqual(['white sugar 400 g to 320 g']));
  it('says a count without the word pieces, and an amount that hangs on another in full', () => {
    expect(between('A\n1 egg white', 'A\n2 egg white')).toEqual(['egg white 1 to 2']);
    expect(between('A\n100 g pears\n1 g salt', 'A\n100 g pears\nsalt: 2% of all')).toEqual(['salt 1 g to salt: 2% of all']);
  });
  it('says what was added and what was left out', () =>
    expect(changed(PEAR_CORDIAL.replace('400 g white sugar', '400 g honey'))).toEqual(['400 g honey added', '400 g white sugar left out']));
  it('says a note that changed, and one that went', () => {
    expect(changed(PEAR_CORDIAL.replace('peeled, grated', 'diced'))).toEqual(['pears: diced']);
    expect(changed(PEAR_CORDIAL.replace('pears, peeled, grated', 'pears'))).toEqual(['pears: no note']);
  });
  it('says a step that changed as one change', () =>
    expect(changed(PEAR_CORDIAL.replace('rest 2 days (1-7 days)', 'rest 3 days (1-7 days)'))).toEqual([
      '"rest 2 days (1-7 days) in the fridge" to "rest 3 days (1-7 days) in the fridge"',
    ]));
  it('says a step that came and one that went', () => {
    expect(changesBetween(pot(step('stir')), pot(step('stir'), step('strain')))).toEqual(['"strain" added']);
    expect(changesBetween(pot(step('stir'), step('strain')), pot(step('stir')))).toEqual(['"strain" left out']);
  });
  it('matches a changed step with the one that begins alike, not with the next', () => {
    expect(changesBetween(pot(step('rest 24 h')), pot(step('shake hard'), step('rest 36 h')))).toEqual([
      '"rest 24 h" to "rest 36 h"',
      '"shake hard" added',
    ]);
    expect(changesBetween(pot(step('rest 24 h')), pot(step('shake hard')))).toEqual(['"rest 24 h" left out', '"shake hard" added']);
  });
  it('says that the order of the steps changed where nothing else did', () =>
    expect(changesBetween(pot(step('stir'), step('strain')), pot(step('strain'), step('stir')))).toEqual(['the order of the steps']));
  it('says a new name and a new yield', () =>
    expect(changed(PEAR_CORDIAL.replace('Pear and cider-vinegar cordial', 'Pear cordial').replace('800 ml', '900 ml'))).toEqual([
      'renamed, was Pear and cider-vinegar cordial',
      'makes 800 ml to 900 ml',
    ]));
  it('keeps to its own pot: 300 ml water that moved from one to the other went and came', () => {
    const two = (first: string, second: string) => `A\n[one]\n300 ml ${first}\n[two]\n300 ml ${second}`;
    expect(between(two('water', 'milk'), two('milk', 'water'))).toEqual([
      '300 ml milk added',
      '300 ml water left out',
      '300 ml water added',
      '300 ml milk left out',
    ]);
  });
  it('tells the pot without a heading from the joined one', () => {
    const joined = (inFirst: readonly ReturnType<typeof step>[], inJoined: readonly ReturnType<typeof step>[]): Recipe => ({
      name: 'A',
      parts: [
        { name: null, items: inFirst },
        { name: null, joins: { how: 'mix', of: [{ part: '', share: 1 }] }, items: inJoined },
      ],
    });
    expect(changesBetween(joined([step('stir')], []), joined([], [step('stir')]))).toEqual(['"stir" left out', '"stir" added']);
    const named = (name: string | null): Recipe => ({ name: 'A', parts: [{ name, items: [step('stir')] }] });
    expect(changesBetween(named(null), named('the joined pot'))).toEqual(['"stir" left out', '"stir" added']);
  });

  it.each([
    ['serves 4', 'serves 6', 'serves 4 to 6'],
    ['keeps 3 days', 'keeps 5 days', 'keeps 3 days to 5 days'],
    ['use by: day 3', 'use by: day 4', 'use by day 3 to 4'],
    ['glass: coupe', 'glass: rocks', 'glass coupe to rocks'],
    ['ice: cubes', 'ice: crushed', 'ice cubes to crushed'],
    ['garnish: mint', 'garnish: lime', 'garnish mint to lime'],
    ['note: a', 'note: b', 'notes changed'],
    ['serves 4', '', 'serves 4 to not said'],
    ['', 'glass: coupe', 'glass not said to coupe'],
  ])('from "%s" to "%s" is "%s"', (before, after, said) =>
    expect(between(`A\n${before}\n60 ml gin`, `A\n${after}\n60 ml gin`)).toEqual([said]),
  );

  it('lists several garnishes with a comma, before and after', () =>
    expect(changesBetween({ ...pot(), garnish: ['mint', 'lime'] }, { ...pot(), garnish: ['mint', 'lemon'] })).toEqual([
      'garnish mint, lime to mint, lemon',
    ]));
});
