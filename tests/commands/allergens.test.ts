import { describe, expect, it } from 'vitest';
import { listLots } from '../../storage/lots.ts';
import { type Bar, DAY, openBar, type Said } from './bar.ts';

const all = (said: Said): string => [said.heading, ...said.lines].join('\n');
/** What the three answers never say. */
const NEVER = /\bcan have\b|\bfree of\b|\bfree from\b|-free\b|\bsafe\b|^no\b[.,]?$|\bcontains no\b/imu;

const ORGEAT = (nut: string) => `House orgeat
200 g ${nut}
400 ml water
300 g white sugar
soak 8 h in the fridge
strain, keep nut pulp`;
const RUM_SOUR = 'Rum sour\n50 ml rum\n25 ml lime juice\n20 ml House orgeat\nshake\nglass: coupe';
const GIN_SOUR = 'Gin sour\n50 ml gin\n25 ml lemon juice\n20 ml simple syrup 1:1\nshake\nglass: coupe';
const MYSTERY = 'Night cap\n50 ml gin\n20 ml chocolate liqueur\nstir\nglass: coupe';

async function menu(bar: Bar): Promise<void> {
  for (const sheet of [ORGEAT('almonds'), RUM_SOUR, GIN_SOUR, MYSTERY]) await bar.recipe(sheet);
}

async function makeOrgeat(bar: Bar): Promise<void> {
  await bar.ask('start', { recipe: 'House orgeat' });
  bar.now += DAY / 2;
  const [stage] = await bar.db.selectFrom('stages').select('id').where('state', '=', 'resting').orderBy('id', 'desc').execute();
  const asked = await bar.pressed('got', [stage?.id ?? 0], { got: '480 ml', kept: '300 g' });
  if (!asked.heading.startsWith('Got')) await bar.press(asked, '480 ml');
}

describe('a guest with a nut allergy', () => {
  it('is answered yes on the sheet for the rum sour, with what brings it, the drinks without it on the sheet, and a lead', async () => {
    const bar = await openBar();
    await menu(bar);
    for (const said of [
      await bar.ask('allergens', { what: 'nuts in the rum sour' }),
      await bar.mention('guest with a nut allergy, what about the rum sour?'),
    ]) {
      expect(said.heading).toBe('Yes, on the sheet: nut in Rum sour');
      expect(all(said)).toContain('House orgeat: almonds');
      expect(all(said)).toContain('No nut on the sheet: Gin sour.');
      expect(all(said)).toContain('Shared tins and ice. A lead checks the bottles before you tell the guest.');
      expect(all(said)).toContain('Local code and your own food-safety plan come first.');
      expect(all(said)).not.toMatch(NEVER);
    }
    const none = await bar.ask('allergens', { what: 'nut in the gin sour' });
    expect(none.heading).toBe('No nut on the sheet: Gin sour');
    expect(all(none)).toContain('A lead checks the bottles before you tell the guest.');
    const unknown = await bar.ask('allergens', { what: 'nut in the night cap' });
    expect(unknown.heading).toBe('Not known: nut in Night cap');
    expect(all(unknown)).toContain('chocolate liqueur');
    const who = await bar.ask('allergens', { what: 'nuts' });
    expect(all(who)).toMatch(/nut on the sheet: Rum sour/);
    expect(all(who)).toContain('No nut on the sheet: Gin sour.');
    expect(all(who)).toContain('Not known: Night cap.');
    for (const said of [none, unknown, who]) expect(all(said)).not.toMatch(NEVER);
    await bar.close();
  });

  it('is answered by every in-date batch: an orgeat of almonds still counts when the sheet says sunflower seeds, and on the rail too', async () => {
    const bar = await openBar();
    await menu(bar);
    await makeOrgeat(bar);
    const edited = await bar.ask('recipe', { sub: 'edit', recipe: 'House orgeat' });
    await bar.press(await bar.fill(edited, { sheet: ORGEAT('sunflower seeds') }), 'Save');
    const [lot] = await listLots(bar.db, bar.here, { name: 'House orgeat' });
    expect(lot?.allergens).toContain('nuts');
    const stillThere = await bar.ask('allergens', { what: 'nut in the rum sour' });
    expect(stillThere.heading).toBe('Yes, on the sheet: nut in Rum sour');
    expect(all(stillThere)).toContain(`House orgeat ${lot?.code}: almonds`);
    // Taken to the bar, it has left the pantry and stands on the rail.
    await bar.ask('take', { what: 'House orgeat', amount: 'all' });
    expect((await bar.ask('allergens', { what: 'nut in the rum sour' })).heading).toBe('Yes, on the sheet: nut in Rum sour');
    // The pulp keeps what its own pot had touched.
    expect((await bar.ask('allergens', { what: 'nut in the nut pulp' })).heading).toBe('Yes, on the sheet: nut in nut pulp');
    // Past its date it is poured no more; today's sheet alone answers.
    bar.now += 20 * DAY;
    expect((await bar.ask('allergens', { what: 'nut in the rum sour' })).heading).not.toContain('Yes');
    await bar.close();
  });

  it('counts a batch that still rests, a garnish, and lists all three answers for a drink', async () => {
    const bar = await openBar();
    await menu(bar);
    await bar.recipe('Almond fizz\n50 ml gin\n20 ml lemon juice\nshake\nglass: coupe\ngarnish: toasted almonds');
    expect((await bar.ask('allergens', { what: 'nut in the almond fizz' })).heading).toBe('Yes, on the sheet: nut in Almond fizz');
    await bar.ask('start', { recipe: 'House orgeat' });
    const edited = await bar.ask('recipe', { sub: 'edit', recipe: 'House orgeat' });
    await bar.press(await bar.fill(edited, { sheet: ORGEAT('sunflower seeds') }), 'Save');
    expect((await bar.ask('allergens', { what: 'nut in the rum sour' })).heading).toBe('Yes, on the sheet: nut in Rum sour');
    const full = await bar.ask('allergens', { what: 'Rum sour' });
    expect(full.heading).toBe('Allergens: Rum sour');
    expect(full.lines.find((line) => line.startsWith('Yes, on the sheet'))).toContain('tree nuts');
    expect(full.lines.find((line) => line.startsWith('Not on the sheet'))).toContain('milk');
    expect(all(full)).not.toMatch(NEVER);
    await bar.close();
  });

  it('finds the drink in whatever was asked, and an unread pack is never answered as if nothing had it', async () => {
    const bar = await openBar();
    await bar.recipe('Bottled Manhattan\nmakes 780 ml\n500 ml rye whiskey 50%\n250 ml sweet vermouth 16%\n30 ml aromatic bitters\nbottle');
    for (const asked of ['can i give the manhattan to someone with a nut allergy', 'nut allergy on table 4, manhattan ok?']) {
      const said = await bar.mention(asked);
      expect(said.heading).toBe('Not known: nut in Bottled Manhattan');
      expect(all(said)).toContain('Nobody has read the pack of');
      expect(all(said)).not.toMatch(NEVER);
    }
    expect((await bar.ask('allergens', { what: 'sesame' })).heading).toBe('sesame not known: Bottled Manhattan');
    await bar.close();
  });

  it('gets an answer for a clear thing too: milk in the clear one', async () => {
    const bar = await openBar();
    await bar.recipe(
      'Clear punch\n600 ml white rum 40%\n300 ml lemon juice\n400 ml whole milk\nrest 1 h in the fridge\nstrain through cloth\nglass: rocks',
    );
    const said = await bar.ask('allergens', { what: 'is there milk in the clear one?' });
    expect(said.heading).toBe('Yes, on the sheet: milk in Clear punch');
    expect(all(said)).toContain('It is strained clear, and counts all the same.');
    await bar.close();
  });
});
