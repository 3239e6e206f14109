import { describe, expect, it } from 'vitest';
import { type Plain, readPlain } from '../../commands/plain-words.ts';
import { HOUSE_CONVENTIONS } from '../../craft/recipe.ts';

const read = (text: string) => readPlain(text, HOUSE_CONVENTIONS);
const of = (text: string, bare = false) => ({ text, bare });
const MILK = { said: 'milk', keys: ['milk'] } as const;
const NUT = { said: 'nut', keys: ['nuts', 'us tree nuts', 'peanuts'] } as const;

const QUESTIONS: readonly (readonly [string, Plain])[] = [
  ["what's left in the walk-in?", { is: 'pantry', where: 'walk-in' }],
  ['whats left', { is: 'pantry' }],
  ['what have we got', { is: 'pantry' }],
  ['What do we have in the lowboy?', { is: 'pantry', where: 'lowboy' }],
  ["what's in the freezer", { is: 'whats-in', what: 'freezer' }],
  ['do we have quince?', { is: 'have', what: 'quince' }],
  ['do we need quince', { is: 'have', what: 'quince' }],
  ['have we got any pear pulp left in the freezer?', { is: 'have', what: 'pear pulp', where: 'freezer' }],
  ['how much pear pulp is left?', { is: 'have', what: 'pear pulp' }],
  ["what's left of the pear pulp", { is: 'have', what: 'pear pulp' }],
  ["where's the curd", { is: 'have', what: 'curd' }],
  ["what's ready?", { is: 'ready' }],
  ['whats ready', { is: 'ready' }],
  ['anything ready to strain', { is: 'ready' }],
  ['what’s resting?', { is: 'resting' }],
  ["what's resting in the walk-in", { is: 'resting', where: 'walk-in' }],
  ['when is the pear cordial ready?', { is: 'resting', what: 'pear cordial' }],
  ['is the punch ready yet', { is: 'resting', what: 'punch' }],
  ['2 oz in ml', { is: 'convert', text: '2 oz in ml' }],
  ['22.5 ml in oz', { is: 'convert', text: '22.5 ml in oz' }],
  ['how many ml in 2 oz', { is: 'convert', text: '2 oz in ml' }],
  ['2 oz, 3/4 oz, 3 dashes', { is: 'convert', text: '2 oz, 3/4 oz, 3 dashes' }],
  ['40 F in C', { is: 'convert', text: '40 F in C' }],
  ['80 proof', { is: 'convert', text: '80 proof' }],
  ['200 g white sugar in ml', { is: 'convert', text: '200 g white sugar in ml' }],
  ['who made the green quart', { is: 'who-made', what: 'the green quart' }],
  ['who made this? green quart no label shelf 2', { is: 'who-made', what: 'this? green quart no label shelf 2' }],
  ['scale pear cordial to 3 l', { is: 'scale', recipe: 'pear cordial', to: '3 l' }],
  ['scale the pear cordial for 60 guests', { is: 'scale', recipe: 'pear cordial', to: '60 guests' }],
  ['sour mix x 3.5', { is: 'scale', recipe: 'sour mix', to: 'x3.5' }],
  ['sour mix 3 times', { is: 'scale', recipe: 'sour mix', to: 'x3' }],
  ['how do we make orgeat', { is: 'recipe', what: 'orgeat' }],
  ['tell me about B7', { is: 'batch', what: 'B7' }],
  ['is there milk in the clear one', { is: 'allergens', what: 'clear one', allergen: MILK }],
  ['is there any milk in the walk-in?', { is: 'have', what: 'milk', where: 'walk-in' }],
  ['does the rum sour contain nuts?', { is: 'allergens', what: 'rum sour', allergen: NUT }],
  ['guest with a nut allergy, what about the rum sour?', { is: 'allergens', what: 'rum sour', allergen: NUT }],
  ['guest nut allergy can she have the rum sour', { is: 'allergens', what: 'rum sour', allergen: NUT }],
  ['allergens in the clear punch', { is: 'allergens', what: 'clear punch' }],
  ['handover', { is: 'handover' }],
  ["what's on today?", { is: 'prep' }],
  ['what do we make first', { is: 'prep' }],
  ['prep list', { is: 'prep' }],
  ['how strong is the manhattan?', { is: 'strength', what: 'manhattan' }],
  ["what's the abv of the pear collins", { is: 'strength', what: 'pear collins' }],
  ['how much water in the manhattan', { is: 'dilute', what: 'manhattan' }],
  ['dilute gin 47% to 40%', { is: 'dilute', what: 'gin 47%', to: '40%' }],
];

const CHANGES: readonly (readonly [string, Plain])[] = [
  ['strained the pears, got 1.47', { is: 'strained', what: 'pears', got: of('1.47', true) }],
  ['strained the butter rum got 1890', { is: 'strained', what: 'butter rum', got: of('1890', true) }],
  ['I strained the pears 490 ml', { is: 'strained', what: 'pears', got: of('490 ml') }],
  ['bottled the cordial: 2.3 l', { is: 'strained', what: 'cordial', got: of('2.3 l') }],
  ['got 1.47 l from the pears', { is: 'strained', what: 'pears', got: of('1.47 l') }],
  ['strained it', { is: 'strained', what: 'it' }],
  ['got 1 kg lime husks', { is: 'keep', what: 'lime husks', amount: of('1 kg') }],
  ['got 12 egg yolks', { is: 'keep', what: 'egg yolks', amount: of('12', true) }],
  ['keep 900 ml flat wine in the lowboy', { is: 'keep', what: 'flat wine', amount: of('900 ml'), where: 'lowboy' }],
  ['we have 3 kg cherries in syrup', { is: 'keep', what: 'cherries in syrup', amount: of('3 kg') }],
  ['opened 1 l whole milk', { is: 'keep', what: 'whole milk', amount: of('1 l'), opened: 'today' }],
  ['put 2 l husk stock in the freezer', { is: 'keep', what: 'husk stock', amount: of('2 l'), where: 'freezer' }],
  ['bin 900 ml flat wine', { is: 'bin', what: 'flat wine', amount: of('900 ml') }],
  ['bin 900 flat wine', { is: 'bin', what: 'flat wine', amount: of('900', true) }],
  ['bin the pulp', { is: 'bin', what: 'pulp' }],
  ['bin all the flat wine', { is: 'bin', what: 'flat wine', amount: of('all') }],
  ['binned the lime syrup, it smells off', { is: 'bin', what: 'lime syrup', why: 'spoiled' }],
  ['spilled 200 ml rum', { is: 'bin', what: 'rum', amount: of('200 ml'), why: 'spilled' }],
  ['took 200 ml pear cordial', { is: 'take', what: 'pear cordial', amount: of('200 ml') }],
  ['took 200 ml pear cordial into the punch', { is: 'take', what: 'pear cordial', amount: of('200 ml'), into: 'punch' }],
  ['used all the pear pulp', { is: 'take', what: 'pear pulp', amount: of('all') }],
  ['put the pulp in the freezer', { is: 'move', what: 'pulp', where: 'freezer' }],
  ['the pulp is back in the walk-in', { is: 'move', what: 'pulp', where: 'walk-in' }],
  ['give it to close', { is: 'give', what: 'it', to: 'close' }],
  ["I'm off at 11 give it to close", { is: 'give', what: 'it', to: 'close' }],
  ['give the pears to <@100000000000000002>', { is: 'give', what: 'pears', to: '<@100000000000000002>' }],
  ['give the pears another 4 h', { is: 'longer', what: 'pears', by: '4 h' }],
  ['leave the pears until tomorrow 10:00', { is: 'longer', what: 'pears', by: 'until tomorrow 10:00' }],
  ['start pear cordial x3', { is: 'start', recipe: 'pear cordial', to: 'x3' }],
  ['start 3 l pear cordial in the walk-in', { is: 'start', recipe: 'pear cordial', to: '3 l', where: 'walk-in' }],
  ['undo last', { is: 'undo' }],
];

describe('plain words', () => {
  it.each(QUESTIONS)('reads the question "%s"', (text, plain) => {
    expect(read(text)).toEqual(plain);
  });

  it.each(CHANGES)('reads the change "%s"', (text, plain) => {
    expect(read(text)).toEqual(plain);
  });

  it.each(['please bin the pulp', 'hey, bin the pulp!', '  bin   the pulp. ', 'ok bin the pulp thanks'])(
    'takes the politeness off "%s"',
    (text) => {
      expect(read(text)).toEqual({ is: 'bin', what: 'pulp' });
    },
  );

  it.each(['', '   ', 'hello', 'lol what a night', '900', '🍐🍐🍐', 'x'.repeat(4000), 'https://example.org', 'took it', 'got it', 'مرحبا'])(
    'finds nothing to answer in "%.40s"',
    (text) => {
      expect(read(text)).toBeNull();
    },
  );

  it('takes 300 characters that fit no pattern in under half a second', () => {
    const text = `${'put the in on to '.repeat(17)}x`;
    const began = performance.now();
    read(text);
    expect(performance.now() - began).toBeLessThan(500);
  });
});
