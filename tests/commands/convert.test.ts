import { describe, expect, it } from 'vitest';
import { MARA, openBar, refusal } from './bar.ts';

describe('one measure in another', () => {
  it.each([
    ['2 oz in ml', '2 oz = 59.1 ml'],
    ['45 ml', '45 ml = 1.52 oz'],
    ['40 F in C', '40 °F = 4.44 °C'],
    ['80 proof', '80 proof = 40 % vol'],
    ['1 kg in lb', '1 kg = 2.2 lb'],
  ])('answers "%s" with "%s" in the first line, to the asker alone', async (what, answer) => {
    const bar = await openBar();
    expect(await bar.ask('convert', { what })).toMatchObject({ to: 'asker', heading: answer });
    await bar.close();
  });

  it('names the nearest jigger marks, and how far off they are', async () => {
    const bar = await openBar();
    const said = await bar.ask('convert', { what: '22.5 ml in oz' });
    expect(said.heading).toBe('22.5 ml = 0.761 oz');
    expect(said.lines[0]).toBe('nearest on a jigger: ¾ oz (22.2 ml, 1.4 % less) or 25 ml (11 % more)');
    await bar.close();
  });

  it('turns weight to volume by a density, and says which it used', async () => {
    const bar = await openBar();
    const said = await bar.ask('convert', { what: '200 g white sugar in ml' });
    expect(said.heading).toMatch(/^200 g white sugar = 2\d\d ml$/);
    expect(said.lines[0]).toMatch(/^by the density of .*sugar.*: 0\.\d+ g\/ml$/);
    await bar.close();
  });

  it('answers several at once, one line each', async () => {
    const bar = await openBar();
    const said = await bar.ask('convert', { what: '2 oz, 3/4 oz, 3 dashes' });
    expect(said.heading).toBe('2 oz = 59.1 ml · 0.75 oz = 22.2 ml · 3 dashes = 2.76 ml');
    expect(said.lines).toHaveLength(3);
    await bar.close();
  });

  it("uses this bar's ounce and not the other's", async () => {
    const bar = await openBar();
    await bar.ask('venue', { sub: 'set', ounce: '30 ml' });
    expect((await bar.ask('convert', { what: '2 oz in ml' })).heading).toBe('2 oz = 60 ml');
    expect((await bar.ask('convert', { what: '2 oz in ml' }, MARA, bar.there)).heading).toBe('2 oz = 59.1 ml');
    await bar.close();
  });

  it.each([
    ['', 'option-unreadable'],
    ['0 ml', 'amount-not-positive'],
    ['-2 oz', 'amount-not-positive'],
    ['10000 l', 'amount-absurd'],
    ['10,000 l', 'amount-ambiguous'],
    ['45', 'unit-missing'],
    ['45 blorps', 'unit-unknown'],
    ['200 g in ml', 'density-needed'],
    ['200 g unobtainium dust in ml', 'density-unknown'],
    ['gin', 'conversion-unreadable'],
    ['🍐', 'conversion-unreadable'],
    ['@everyone', 'conversion-unreadable'],
  ])('refuses "%s" with %s', async (what, code) => {
    const bar = await openBar();
    const before = await bar.written();
    expect(await refusal(bar.ask('convert', { what }))).toMatchObject({ code });
    expect(await bar.written()).toBe(before);
    await bar.close();
  });
});

describe('a swap and a dilution', () => {
  it('says the amount as it was typed: 10 g citric acid by lime juice', async () => {
    const bar = await openBar();
    const said = await bar.ask('swap', { what: '10 g citric acid', for: 'lime juice' });
    expect(said.lines[0]).toMatch(/^for 10 g citric acid: the same 10 g of acid, as citric/);
    await bar.close();
  });

  it('takes the target out of "20 l 95% to 40%" and the method from the sheet', async () => {
    const bar = await openBar();
    // 1 l of 95 % takes 1.443 l of water to 40 %: OIML R 22 arithmetic.
    expect((await bar.ask('dilute', { what: '20 l spirit 95% to 40%' })).heading).toMatch(/^Add 28\.\d+ l water to 20 l/);
    await bar.recipe('Rye Manhattan\n50 ml rye whiskey 50%\n25 ml sweet vermouth 16%\nstir with ice\nglass: coupe');
    const stirred = await bar.ask('dilute', { what: 'Rye Manhattan' });
    expect(stirred.lines[0]).toContain('as stirred');
    expect((await bar.mention('how much water in the manhattan')).heading).toBe(stirred.heading);
    expect((await bar.mention('how strong is the manhattan')).heading).toMatch(/^Rye Manhattan: .* % vol/);
    await bar.close();
  });
});
