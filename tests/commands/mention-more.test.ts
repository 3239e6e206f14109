import { describe, expect, it } from 'vitest';
import { readPlain } from '../../commands/plain-words.ts';
import { HOUSE_CONVENTIONS } from '../../craft/recipe.ts';
import { listLots } from '../../storage/lots.ts';
import { openBar, refusal } from './bar.ts';

describe('what is typed with wet hands', () => {
  it.each([
    ['86 lemon juice', { is: 'out', what: 'lemon juice' }],
    ["we're out of lemon juice", { is: 'out', what: 'lemon juice' }],
    ['86 F in C', { is: 'convert', text: '86 F in C' }],
    ['86 ml in oz', { is: 'convert', text: '86 ml in oz' }],
    ['lemon juice is back', { is: 'back', what: 'lemon juice' }],
    ['400 g pear pulp left', { is: 'count', what: 'pear pulp', left: '400 g' }],
    ['only 2 l of the cordial left', { is: 'count', what: 'cordial', left: '2 l' }],
    ['pear pulp 400 g left', { is: 'count', what: 'pear pulp', left: '400 g' }],
    ['no pear pulp left', { is: 'count', what: 'pear pulp', left: 'none' }],
    ['ph 3.9 day 3', { is: 'reading', reads: 'ph 3.9' }],
    ['ph 3.9 on the pineapple ferment', { is: 'reading', reads: 'ph 3.9', what: 'pineapple ferment' }],
    ['pineapple ferment is at 12 bx', { is: 'reading', reads: '12 bx', what: 'pineapple ferment' }],
    ["what's left in the walk-in", { is: 'pantry', where: 'walk-in' }],
    ['how much pear pulp is left', { is: 'have', what: 'pear pulp' }],
    ['put the pulp back in the fridge', { is: 'move', what: 'pulp', where: 'fridge' }],
    ['50 Bx', { is: 'convert', text: '50 Bx' }],
  ])('reads "%s"', (text, plain) => {
    expect(readPlain(text, HOUSE_CONVENTIONS)).toMatchObject(plain);
  });

  it('counts, marks out and logs a reading only after the tap', async () => {
    const bar = await openBar();
    await bar.ask('keep', { what: 'pear pulp', amount: '520 g' });
    const counted = await bar.mention('400 g pear pulp left');
    expect(counted.heading).toMatch(/^I read: 400 g pear pulp left \(L\d+\)$/);
    expect((await listLots(bar.db, bar.here))[0]?.leftMg).toBe(520_000);
    expect((await bar.press(counted, 'Save')).heading).toBe('Counted: 400 g pear pulp left');
    expect((await bar.press(await bar.mention('86 lemon juice'), 'Save')).heading).toBe('86: lemon juice');
    expect((await bar.press(await bar.mention('lemon juice is back'), 'Save')).heading).toBe('Back: lemon juice');
    expect((await refusal(bar.mention('ph 3.9 day 3'))).code).toBe('stage-ambiguous');
    await bar.recipe(
      'Pineapple ferment\n1 kg pineapple skins\n2 l water\n200 g white sugar\nferment 3 days at room temp, ready when pH 3.8 or under\nstrain, bin the skins',
    );
    await bar.ask('start', { recipe: 'Pineapple ferment' });
    expect((await bar.press(await bar.mention('ph 3.9 day 3'), 'Save')).heading).toBe('pH 3.9: not yet');
    await bar.close();
  });
});
