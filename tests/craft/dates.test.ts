import { existsSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Carried,
  coldEnough,
  controlOf,
  coolingOf,
  cyanideReferenceUg,
  type DatedLot,
  datesOf,
  earliestDay,
  exceedsReferenceDose,
  hotEnough,
  kernelTimesReferenceDose,
  lastDay,
  lastDayAfterFreezing,
  outOfCold,
  quinineLimitMg,
  quinineMg,
  quinineOfBark,
  type Reading,
  stateOf,
  tableA,
  tableB,
  timeControl,
  type VenueRules,
  wordBinding,
  wordSetBy,
} from '../../craft/dates.ts';
import { addDays, daysBetween, endOfDay } from '../../craft/hours.ts';
import { Refusal } from '../../craft/refusal.ts';
import { LOCAL_CODE } from '../../craft/tables/safety.ts';

const rules = (set: VenueRules['set'] = 'US', today = '2026-03-06'): VenueRules => ({ set, zone: 'Europe/Lisbon', today });
const made = (name: string, on: string, more: Partial<DatedLot> = {}): DatedLot => ({ name, is: 'made', on, form: 'liquid', ...more });
const milk = (on: string, more: Partial<DatedLot> = {}): DatedLot => ({
  name: 'milk',
  is: 'opened',
  on,
  form: 'liquid',
  touched: ['dairy'],
  ...more,
});
const ph = (value: number, more: Partial<Reading> = {}): Reading => ({
  measure: 'pH',
  value,
  at: Date.UTC(2026, 2, 6, 12),
  by: 'Mara',
  strained: true,
  from: 'logged',
  ...more,
});
const aw = (value: number): Reading => ({ ...ph(value), measure: 'aw' });
const inF = (tempF: number) => ((tempF - 32) * 5) / 9;
const clock = (text: string) => Date.parse(`2026-06-01T${text}:00Z`);

describe('the pH and water activity tables', () => {
  // Source: FDA Food Code 1-201.10 tables A and B, state texts (Tennessee, Texas, Wyoming) that agree; rows food_safety-001 to -028.
  it.each([
    [0.9, 4.5, 'non-TCS'],
    [0.9, 5.8, 'non-TCS'],
    [0.92, 4.5, 'non-TCS'],
    [0.92, 5.8, 'non-TCS'],
    [0.94, 4.5, 'non-TCS'],
    [0.94, 5.2, 'non-TCS'],
    [0.97, 4.5, 'non-TCS'],
    [0.97, 5.2, 'PA'],
  ])('table A gives water activity %d at pH %d: %s', (activity, value, expected) => expect(tableA(value, activity)).toBe(expected));

  it.each([
    [0.85, 4.1, 'non-TCS'],
    [0.85, 4.4, 'non-TCS'],
    [0.85, 5.5, 'non-TCS'],
    [0.89, 4.1, 'non-TCS'],
    [0.89, 4.4, 'non-TCS'],
    [0.89, 5.5, 'PA'],
    [0.91, 4.1, 'non-TCS'],
    [0.91, 4.8, 'PA'],
    [0.91, 5.5, 'PA'],
    [0.95, 4.4, 'PA'],
    [0.95, 4.8, 'PA'],
    [0.95, 5.5, 'PA'],
  ])('table B gives water activity %d at pH %d: %s', (activity, value, expected) => expect(tableB(value, activity)).toBe(expected));

  it('holds every published row of the two tables, where the file of them is at hand', () => {
    const file = new URL('../../../shared/reference/food_safety.json', import.meta.url);
    const rows = existsSync(file)
      ? (JSON.parse(readFileSync(file, 'utf8')) as { rows: { inputs: Record<string, unknown>; expected: Record<string, unknown> }[] }).rows
      : [];
    const tables = rows.filter((row) => row.inputs['table'] !== undefined);
    const got = tables.map((row) =>
      controlOf({
        heatTreatedAndPackaged: row.inputs['heat_treated_and_packaged'] === true,
        ph: Number(row.inputs['pH']),
        aw: Number(row.inputs['aw']),
      }),
    );
    expect(got).toEqual(tables.map((row) => row.expected['result']));
    expect(tables.length === 0 || tables.length >= 20).toBe(true);
  });

  it('is strict at the edges: 4.2 is not under 4.2, 0.88 is not under 0.88, and what was not measured counts at its worst', () => {
    expect([tableB(4.19, 0.99), tableB(4.2, 0.99), tableB(7, 0.879), tableB(7, 0.88)]).toEqual(['non-TCS', 'PA', 'non-TCS', 'PA']);
    expect([tableB(4.6, 0.92), tableB(4.61, 0.92), tableB(5, 0.9), tableB(5.01, 0.9)]).toEqual(['non-TCS', 'PA', 'non-TCS', 'PA']);
    expect([tableA(4.6, 1), tableA(4.61, 1), tableA(5.6, 0.95), tableA(5.61, 0.95), tableA(9, 0.92)]).toEqual([
      'non-TCS',
      'PA',
      'non-TCS',
      'PA',
      'non-TCS',
    ]);
    expect([
      controlOf({ heatTreatedAndPackaged: false, ph: 4.4 }),
      controlOf({ heatTreatedAndPackaged: false, aw: 0.85 }),
      controlOf({ heatTreatedAndPackaged: false }),
    ]).toEqual(['PA', 'non-TCS', 'PA']);
  });

  it.each([
    [Number.NaN, 0.9],
    [-0.1, 0.9],
    [14.1, 0.9],
    [4, Number.NaN],
    [4, 1.01],
    [4, -0.01],
  ])('refuses pH %d with water activity %d', (value, activity) => {
    expect(() => tableB(value, activity)).toThrow(Refusal);
    expect(() => tableA(value, activity)).toThrow(Refusal);
  });
});

describe('counting days', () => {
  it.each([
    // Source: Southern Nevada Health District FAQ, food_safety-030; rule across a leap day and a year's end, -036 and -037.
    [['2026-06-01', '2026-06-03'], '2026-06-07'],
    [['2028-02-25'], '2028-03-02'],
    [['2026-12-28'], '2027-01-03'],
    [['2026-05-04', '2026-05-06', '2026-05-07'], '2026-05-10'],
  ])('ends 7 days from the earliest of %j on %s', (days, expected) => expect(lastDay(earliestDay(days))).toBe(expected));

  it('keeps the 2 days used before freezing and goes on at thawing: 1 October, frozen on the 3rd, thawed on the 10th, ends on the 14th', () => {
    // Source: North Carolina date-marking sheet, food_safety-031.
    expect(lastDayAfterFreezing({ day1: '2026-10-01', frozenOn: '2026-10-03', thawedOn: '2026-10-10' })).toBe('2026-10-14');
  });

  it('counts over any zone and clock change: seven wall days, ending at 24:00 on the wall', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(
          'UTC',
          'Europe/Lisbon',
          'America/New_York',
          'Australia/Lord_Howe',
          'America/Santiago',
          'Pacific/Chatham',
          'Africa/Cairo',
          'Asia/Beirut',
        ),
        fc.integer({ min: 0, max: 3000 }),
        fc.integer({ min: 0, max: 10 }),
        (zone, ahead, sinceDays) => {
          const opened = addDays('2024-01-01', ahead);
          const on = addDays(opened, sinceDays);
          const dates = datesOf(made('curd', on, { inputs: [milk(opened)] }), { set: 'US', zone, today: on });
          expect(daysBetween(opened, dates.useBy ?? '')).toBe(6);
          const wall = new Intl.DateTimeFormat('en-CA', { timeZone: zone, year: 'numeric', month: '2-digit', day: '2-digit' });
          // One millisecond before the end it is still that day by Intl; at the end it is the next.
          expect(wall.format((dates.useByAt ?? 0) - 1)).toBe(dates.useBy);
          expect(wall.format(dates.useByAt ?? 0)).toBe(addDays(dates.useBy ?? on, 1));
        },
      ),
      { numRuns: 300 },
    );
  });
});

describe('milk opened on Monday', () => {
  // Monday 2 March 2026 is day 1, so day 7 is Sunday 8 March. Friday the 6th is day 5.
  const opened = milk('2026-03-02');
  const curd = made('curd', '2026-03-06', { form: 'solid', inputs: [opened] });

  it('gives curd made on Friday until Sunday 8 March, and neither Monday nor seven days from Friday', () => {
    const dates = datesOf(curd, rules());
    expect(dates).toMatchObject({
      useBy: '2026-03-08',
      day1: '2026-03-02',
      day1From: 'milk, opened',
      dayNumber: 7,
      setBy: 'rule',
      binds: 'use-by',
      needsCold: true,
    });
    expect(dates.useBy).not.toBe('2026-03-09');
    expect(dates.useBy).not.toBe('2026-03-12');
    expect(wordBinding(dates, '2026-03-06')).toBe('USE BY Sun 8 Mar');
    expect(wordSetBy(dates)).toBe('(day 7, US rule)');
    expect(dates.words).toEqual(['Day 1 is Mon 2 Mar (milk, opened).', 'US rule: day 7 is the last, at 5 °C or colder.', LOCAL_CODE]);
  });

  it('gives its whey, the crackers made of the curd, and their crumbs the same Sunday', () => {
    const whey = made('whey', '2026-03-06', { inputs: [opened] });
    const crackers = made('curd crackers', '2026-03-07', { form: 'pieces', driedOrBaked: true, inputs: [curd] });
    const crumbs = made('crumbs', '2026-03-08', { form: 'solid', inputs: [crackers] });
    expect([whey, crackers, crumbs].map((lot) => datesOf(lot, rules()).useBy)).toEqual(['2026-03-08', '2026-03-08', '2026-03-08']);
    expect(datesOf(crackers, rules()).words).toContain("Dried or baked: keeps its ingredient's date until a manager signs a house date.");
  });

  it('gives the same through what a stored lot carries as through the lot itself', () => {
    const carried: Carried = datesOf(curd, rules()).carries;
    expect(carried).toMatchObject({ day1: '2026-03-02', day1From: 'milk, opened', touched: ['dairy'] });
    const filling = made('filling', '2026-03-07', { form: 'solid', inputs: [carried, made('pear pulp', '2026-03-07')] });
    expect(datesOf(filling, rules())).toMatchObject({ useBy: '2026-03-08', day1From: 'milk, opened' });
  });

  it('gives baked crackers a longer date only once a manager signed one', () => {
    const crackers = made('curd crackers', '2026-03-07', {
      form: 'pieces',
      driedOrBaked: true,
      inputs: [curd],
      signed: [{ what: 'house-date', by: 'Ines', on: '2026-03-07', days: 21 }],
    });
    expect(datesOf(crackers, rules())).toMatchObject({ useBy: '2026-03-27', setBy: 'manager' });
    expect(datesOf({ ...crackers, signed: [{ what: 'house-date', by: ' ', on: '2026-03-07', days: 21 }] }, rules()).useBy).toBe(
      '2026-03-08',
    );
  });

  it("never passes the maker's printed use-by, through any depth", () => {
    const printed = made('curd', '2026-03-06', { inputs: [milk('2026-03-02', { printedUseBy: '2026-03-07' })] });
    const filling = made('filling', '2026-03-06', { inputs: [made('cream', '2026-03-06', { inputs: [printed] })] });
    expect(datesOf(filling, rules())).toMatchObject({ useBy: '2026-03-07', setBy: 'maker, printed' });
    expect(datesOf(filling, rules()).words).toContain('Printed on milk: Sat 7 Mar.');
  });

  it('is in date on Saturday, on its last day until Sunday 24:00, and out of date at 00:00 on Monday', () => {
    const dates = datesOf(curd, rules());
    const zone = 'Europe/Lisbon';
    expect(stateOf(dates, endOfDay('2026-03-07', zone) - 1, zone)).toBe('in date');
    expect(stateOf(dates, endOfDay('2026-03-07', zone), zone)).toBe('last day');
    expect(stateOf(dates, endOfDay('2026-03-08', zone) - 1, zone)).toBe('last day');
    expect(stateOf(dates, endOfDay('2026-03-08', zone), zone)).toBe('out of date');
  });
});

describe('the earliest ingredient', () => {
  const lots = fc.memo(
    (depth): fc.Arbitrary<DatedLot> =>
      fc.record({
        name: fc.constantFrom('a', 'b', 'c'),
        is: fc.constantFrom('made' as const, 'opened' as const),
        on: fc.integer({ min: 0, max: 40 }).map((ahead) => addDays('2026-03-01', ahead)),
        form: fc.constantFrom('liquid' as const, 'solid' as const),
        inputs: depth <= 1 ? fc.constant([]) : fc.array(lots(depth - 1), { maxLength: 3 }),
      }),
  );
  const tree = lots(4);
  const days = (lot: DatedLot): string[] => [lot.on, ...(lot.inputs ?? []).flatMap((input) => (input.is === 'carried' ? [] : days(input)))];

  it('sets the use-by of any tree of food: six days after its earliest day, whatever the depth', () => {
    fc.assert(
      fc.property(tree, (lot) => {
        expect(datesOf(lot, rules()).useBy).toBe(addDays(earliestDay(days(lot)), 6));
      }),
      { numRuns: 300 },
    );
  });

  it('never lets one more ingredient lengthen a date', () => {
    fc.assert(
      fc.property(tree, tree, (lot, more) => {
        const before = datesOf(lot, rules()).useBy ?? '';
        expect((datesOf({ ...lot, inputs: [...(lot.inputs ?? []), more] }, rules()).useBy ?? '') <= before).toBe(true);
      }),
      { numRuns: 300 },
    );
  });

  it('is not a spirit or sugar opened long ago: they keep on a shelf and begin no count', () => {
    const rum: DatedLot = { name: 'rum', is: 'opened', on: '2025-01-01', needsCold: false, form: 'liquid' };
    expect(datesOf(made('butter rum', '2026-03-05', { inputs: [rum, milk('2026-03-04')] }), rules())).toMatchObject({
      useBy: '2026-03-10',
      day1: '2026-03-04',
    });
    expect(datesOf(rum, rules())).toMatchObject({ useBy: null, binds: 'none', needsCold: false });
  });
});

describe('what may lengthen a date', () => {
  const cordial = made('pear cordial', '2026-03-06', { tasteDays: 30 });

  it('is a logged pH under 4.2 on the strained product: the count goes and the taste date of 30 days binds', () => {
    const dates = datesOf({ ...cordial, readings: [ph(3.4)] }, rules());
    expect(dates).toMatchObject({ useBy: null, bestTo: '2026-04-04', binds: 'best-to', needsCold: false, kind: 'non-TCS by reading' });
    expect(dates.words[0]).toBe('pH 3.4 logged by Mara 12:00: table B asks for no day count.');
    expect(wordBinding(dates, '2026-03-06')).toBe('best to Sat 4 Apr');
  });

  it.each([
    ['an estimated pH', [ph(2.2, { from: 'estimate' })]],
    ["a sheet's own pH", [ph(2.2, { from: 'sheet' })]],
    ['a pH logged before straining', [ph(2.2, { strained: false })]],
    ['a pH that nobody signed for', [ph(2.2, { by: '' })]],
    ['a pH of 4.2', [ph(4.2)]],
    ['a pH of 4.4 with a water activity of 0.93', [ph(4.4), aw(0.93)]],
    ['a newer pH of 4.5 after one of 3.9', [ph(3.9), ph(4.5, { at: Date.UTC(2026, 2, 7) })]],
    ['no reading', []],
  ])('is never %s', (_, readings) => {
    expect(datesOf({ ...cordial, readings }, rules())).toMatchObject({ useBy: '2026-03-12', needsCold: true });
  });

  it('says that an estimate was not counted', () => {
    expect(datesOf({ ...cordial, readings: [ph(2.2, { from: 'estimate' })] }, rules()).words).toContain(
      'Not counted: estimated pH. Only a reading logged on the strained product changes a date.',
    );
  });

  it('is a newer pH of 3.9 after one of 4.5, or a water activity of 0.85 alone', () => {
    expect(datesOf({ ...cordial, readings: [ph(4.5), ph(3.9, { at: Date.UTC(2026, 2, 7) })] }, rules()).useBy).toBeNull();
    expect(datesOf({ ...cordial, readings: [aw(0.85)] }, rules()).useBy).toBeNull();
  });

  it('takes table A only with a plan that a manager signed', () => {
    const readings = [ph(4.5), aw(0.97)];
    expect(datesOf({ ...cordial, readings }, rules()).useBy).toBe('2026-03-12');
    expect(datesOf({ ...cordial, readings, signed: [{ what: 'heat-treated', by: 'Ines', on: '2026-03-06' }] }, rules())).toMatchObject({
      useBy: null,
    });
  });

  it('never lifts raw egg, and hands the milk day on even from a lifted punch', () => {
    const sour = made('sour base', '2026-03-06', { rawEgg: true, readings: [ph(3)] });
    expect(datesOf(sour, rules())).toMatchObject({ useBy: '2026-03-06', setBy: 'raw egg' });
    const punch = made('clear punch', '2026-03-06', { inputs: [milk('2026-03-02')], readings: [ph(3.6)] });
    expect(datesOf(punch, rules()).useBy).toBeNull();
    expect(datesOf(made('punch jelly', '2026-03-06', { inputs: [punch] }), rules())).toMatchObject({
      useBy: '2026-03-08',
      day1From: 'milk, opened',
    });
  });

  it('ends raw egg 24 h after it was cracked', () => {
    const at = Date.UTC(2026, 2, 6, 22);
    expect(datesOf(made('sour base', '2026-03-06', { at, rawEgg: true }), rules())).toMatchObject({
      useBy: '2026-03-07',
      useByAt: at + 24 * 3600_000,
    });
  });

  it('ends raw egg at its hour, also where a printed date or the house ends the same day at 24:00', () => {
    const at = Date.UTC(2026, 2, 6, 10);
    const by = { useBy: '2026-03-07', useByAt: at + 24 * 3600_000, setBy: 'raw egg' };
    expect(datesOf(made('sour base', '2026-03-06', { at, rawEgg: true, houseDays: 2 }), rules())).toMatchObject(by);
    expect(datesOf(made('sour base', '2026-03-06', { at, rawEgg: true, printedUseBy: '2026-03-07' }), rules())).toMatchObject(by);
    expect(datesOf(made('sour base', '2026-03-06', { at, rawEgg: true, printedUseBy: '2026-03-06' }), rules())).toMatchObject({
      useBy: '2026-03-06',
      setBy: 'maker, printed',
    });
  });

  it('hands the 24 h of raw egg on to what is made of it, to any depth, until it is cooked', () => {
    const at = Date.UTC(2026, 2, 6, 10);
    const base = made('sour base', '2026-03-06', { at, rawEgg: true });
    const bottled = made('bottled sour', '2026-03-07', { at: at + 20 * 3600_000, inputs: [base] });
    const by = { useBy: '2026-03-07', useByAt: at + 24 * 3600_000, setBy: 'raw egg', kind: 'food' };
    expect(datesOf(bottled, rules())).toMatchObject(by);
    expect(datesOf(made('punch', '2026-03-07', { inputs: [bottled, milk('2026-03-05')] }), rules())).toMatchObject(by);
    expect(datesOf(made('punch', '2026-03-07', { inputs: [datesOf(bottled, rules()).carries] }), rules())).toMatchObject(by);
    // A reading lifts no raw egg, wherever it came in.
    expect(datesOf({ ...bottled, readings: [ph(3)] }, rules())).toMatchObject(by);
    const curd = made('curd', '2026-03-07', { inputs: [base], cooked: true });
    expect(datesOf(curd, rules())).toMatchObject({ useBy: '2026-03-12', setBy: 'rule' });
    expect(datesOf(curd, rules()).carries).not.toHaveProperty('rawEggBy');
    const late = made('sour base', '2026-03-07', { at: at + 10 * 3600_000, rawEgg: true, inputs: [base] });
    expect(datesOf(late, rules())).toMatchObject({ useByAt: endOfDay('2026-03-06', 'Europe/Lisbon'), setBy: 'raw egg' });
  });

  it('keeps the house and the technique to stricter days only', () => {
    expect(datesOf({ ...cordial, houseDays: 4 }, rules())).toMatchObject({ useBy: '2026-03-09', setBy: 'house', dayNumber: 4 });
    expect(datesOf({ ...cordial, houseDays: 40 }, rules())).toMatchObject({ useBy: '2026-03-12', setBy: 'rule' });
    expect(datesOf({ ...cordial, cap: { days: 3, why: 'Garlic in oil' } }, rules())).toMatchObject({
      useBy: '2026-03-08',
      setBy: 'technique',
    });
  });

  it('shows a taste date only when it is earlier than the use-by', () => {
    expect(datesOf({ ...cordial, tasteDays: 3 }, rules())).toMatchObject({ useBy: '2026-03-12', bestTo: '2026-03-08', binds: 'use-by' });
    expect(datesOf({ ...cordial, tasteDays: 7 }, rules()).bestTo).toBeNull();
    expect(datesOf(cordial, rules()).bestTo).toBeNull();
  });
});

describe('strength and dates', () => {
  const infusion = made('gorse gin', '2026-03-06', { abvPct: 38, plainSpirit: true, tasteDays: 90 });

  it('gives plain spirit at 35 % or more a taste date alone, with no official rule', () => {
    const dates = datesOf(infusion, rules());
    expect(dates).toMatchObject({ useBy: null, bestTo: '2026-06-03', binds: 'best-to', kind: 'plain spirit' });
    expect(dates.words).toContain('Taste date only: no official rule; set by house.');
    expect(datesOf({ ...infusion, abvPct: 35 }, rules()).useBy).toBeNull();
  });

  it.each([
    ['34.9 %', { abvPct: 34.9 }],
    ['an unknown strength', { abvPct: undefined }],
    ['a strength that is no number', { abvPct: Number.NaN }],
    ['60 % with the fruit left in', { abvPct: 60, plainSpirit: false }],
    ['60 % that touched dairy', { abvPct: 60, touched: ['dairy'] }],
    ['60 % washed with nuts', { abvPct: 60, touched: ['nut'] }],
    ['60 % on raw egg', { abvPct: 60, rawEgg: true }],
    ['60 % with milk two pots back', { abvPct: 60, inputs: [made('punch', '2026-03-06', { inputs: [milk('2026-03-06')] })] }],
  ])('gives food its count at %s', (_, more) => {
    const { abvPct: _left, ...bare } = infusion;
    const lot = { ...bare, ...more } as DatedLot;
    if (lot.abvPct === undefined) delete (lot as { abvPct?: number }).abvPct;
    expect(datesOf(lot, rules()).useBy).not.toBeNull();
    expect((datesOf(lot, rules()).useBy ?? '') <= '2026-03-12').toBe(true);
  });

  it('lets a manager sign a house date between 20 and 35 %, and not under 20 % nor over milk', () => {
    const signed = [{ what: 'house-date' as const, by: 'Ines', on: '2026-03-06', days: 60 }];
    expect(datesOf({ ...infusion, abvPct: 28, signed }, rules())).toMatchObject({ useBy: '2026-05-04', setBy: 'manager', needsCold: true });
    expect(datesOf({ ...infusion, abvPct: 19.9, signed }, rules()).useBy).toBe('2026-03-12');
    expect(datesOf({ ...infusion, abvPct: 28, touched: ['dairy'], signed }, rules()).useBy).toBe('2026-03-12');
  });

  it('never ends later at a higher strength once milk, egg, meat, nut or oat milk is in', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 96, noNaN: true }),
        fc.constantFrom('dairy', 'egg', 'meat', 'nut', 'oat milk'),
        (abvPct, touch) => {
          const lot = made('wash', '2026-03-06', { abvPct, plainSpirit: true, touched: [touch as 'dairy'] });
          expect(datesOf(lot, rules()).useBy).toBe('2026-03-12');
        },
      ),
    );
  });
});

describe('rule sets', () => {
  it.each(['UK', 'EU', 'AU'] as const)('%s has no national day count: the shortest of 7 days, maker and house, and that is said', (set) => {
    const pack = milk('2026-03-02', { onceOpenedDays: 3 });
    expect(datesOf(pack, rules(set))).toMatchObject({ useBy: '2026-03-04', setBy: 'maker, once opened' });
    expect(datesOf(milk('2026-03-02'), rules(set))).toMatchObject({ useBy: '2026-03-08', setBy: 'house count' });
    expect(datesOf(milk('2026-03-02', { houseDays: 2 }), rules(set)).useBy).toBe('2026-03-03');
    expect(datesOf(milk('2026-03-02'), rules(set)).words.join(' ')).toContain(`No national figure (${set})`);
  });

  it('US takes its own count of 7, and a shorter maker', () => {
    expect(datesOf(milk('2026-03-02', { onceOpenedDays: 12 }), rules())).toMatchObject({ useBy: '2026-03-08', setBy: 'rule' });
    expect(datesOf(milk('2026-03-02', { onceOpenedDays: 3 }), rules()).useBy).toBe('2026-03-04');
  });

  it('says of every lot that local code comes first, and never that it is safe', () => {
    const all = [
      made('a', '2026-03-06'),
      made('b', '2026-03-06', { abvPct: 40, plainSpirit: true }),
      milk('2026-03-06'),
      made('c', '2026-03-06', { readings: [ph(3)] }),
    ];
    for (const set of ['US', 'UK', 'EU', 'AU'] as const) {
      for (const lot of all) {
        const words = datesOf(lot, rules(set)).words;
        expect(words.at(-1)).toBe(LOCAL_CODE);
        expect(words.slice(0, -1).join(' ')).not.toMatch(/\bsafe\b|alcohol-free|non-alcoholic|low alcohol/i);
      }
    }
  });
});

describe('the freezer', () => {
  const pulp = made('pear pulp', '2026-10-01', { form: 'solid' });
  const today = '2026-10-20';

  it('stops the count of a solid and says how many days are left', () => {
    const dates = datesOf({ ...pulp, frozen: [{ fromDay: '2026-10-03' }] }, rules('US', today));
    expect(dates).toMatchObject({ useBy: null, binds: 'frozen', frozenDaysLeft: 5 });
    expect(wordBinding(dates, today)).toBe('FROZEN: 5 days from thawing');
  });

  it('goes on at thawing: frozen on the 3rd, out on the 10th, last day the 14th', () => {
    expect(datesOf({ ...pulp, frozen: [{ fromDay: '2026-10-03', toDay: '2026-10-10' }] }, rules('US', today))).toMatchObject({
      useBy: '2026-10-14',
      dayNumber: 7,
    });
  });

  it('adds up two stretches', () => {
    const twice = [
      { fromDay: '2026-10-03', toDay: '2026-10-10' },
      { fromDay: '2026-10-11', toDay: '2026-10-13' },
    ];
    expect(datesOf({ ...pulp, frozen: twice }, rules('US', today)).useBy).toBe('2026-10-16');
  });

  it('has not stopped the count of a liquid, nor of boozy pulp, unless somebody saw it frozen solid', () => {
    const frozen = [{ fromDay: '2026-10-03', toDay: '2026-10-10' }];
    expect(datesOf(made('juice', '2026-10-01', { frozen }), rules('US', today)).useBy).toBe('2026-10-07');
    expect(datesOf({ ...pulp, abvPct: 12, frozen }, rules('US', today)).useBy).toBe('2026-10-07');
    expect(datesOf(made('juice', '2026-10-01', { frozen: [{ fromDay: '2026-10-03', solid: true }] }), rules('US', today)).words).toContain(
      'Frozen: 5 days left from the day it thaws.',
    );
    expect(
      datesOf(made('juice', '2026-10-01', { frozen: [{ fromDay: '2026-10-03', toDay: '2026-10-10', solid: true }] }), rules('US', today))
        .useBy,
    ).toBe('2026-10-14');
  });

  it('hands on a day 1 moved by the days it was frozen', () => {
    const leather = made('leather', '2026-10-12', { inputs: [{ ...pulp, frozen: [{ fromDay: '2026-10-03', toDay: '2026-10-10' }] }] });
    expect(datesOf(leather, rules('US', today)).useBy).toBe('2026-10-14');
  });
});

describe('temperatures and hours', () => {
  it.each([
    // Source: Food Code 3-501.16; Food Hygiene (England) Regulations 2013; food_safety-044 to -048.
    ['US', 4.9, true],
    ['US', 5, true],
    ['US', 5.1, false],
    ['US', 8, false],
    ['UK', 5, true],
    ['UK', 8, true],
    ['UK', 8.1, false],
    ['US', Number.NaN, false],
  ] as const)('%s chilled food at %d °C: %s', (set, tempC, expected) => expect(coldEnough(set, tempC)).toBe(expected));

  it('holds hot at 57 °C in the US and 63 °C in the UK', () => {
    expect([hotEnough('US', 57), hotEnough('US', 56.9), hotEnough('UK', 62.9), hotEnough('UK', 63)]).toEqual([true, false, false, true]);
  });

  it('ends 4 h at 14:00 and 6 h at 16:00 for a thing taken out at 10:00', () => {
    // Source: Food Code 3-501.19 (B) and (C), food_safety-033.
    expect(timeControl('US', clock('10:00'), 'short')).toEqual({ allowed: true, discardAt: clock('14:00') });
    expect(timeControl('US', clock('10:00'), 'long', { startTempC: 4, maxTempC: inF(70) })).toEqual({
      allowed: true,
      discardAt: clock('16:00'),
    });
  });

  it('allows no 6 h at 72 °F, from a warm start, unread, or where the rule set has none', () => {
    // Source: Food Code 3-501.19(C), food_safety-034.
    expect(timeControl('US', clock('10:00'), 'long', { startTempC: 4, maxTempC: inF(72) }).allowed).toBe(false);
    expect(timeControl('US', clock('10:00'), 'long', { startTempC: 12, maxTempC: 18 }).allowed).toBe(false);
    expect(timeControl('US', clock('10:00'), 'long', { startTempC: 4 }).allowed).toBe(false);
    expect(timeControl('UK', clock('10:00'), 'long', { startTempC: 4, maxTempC: 18 }).allowed).toBe(false);
    expect(timeControl('US', clock('10:00'), 'short', { startTempC: 12 }).allowed).toBe(false);
  });

  it('keeps the 90 min used when a lot goes back in the fridge, and throws it out 2 h 30 min into the next stretch', () => {
    const first = { outAt: clock('10:00'), backAt: clock('11:30') };
    expect(outOfCold('US', [first], clock('12:00'))).toEqual({ usedMin: 90, limitMin: 240, discardAt: null });
    expect(outOfCold('US', [first, { outAt: clock('15:00'), backAt: null }], clock('16:00'))).toEqual({
      usedMin: 150,
      limitMin: 240,
      discardAt: clock('17:30'),
    });
    expect(outOfCold('US', [{ outAt: clock('10:00'), backAt: clock('14:30') }], clock('20:00'))).toMatchObject({
      discardAt: clock('14:00'),
    });
  });

  it('gives 6 h only where each stretch began cold and was read at 21 °C or under', () => {
    const stretch = { outAt: clock('10:00'), backAt: null, startTempC: 4, maxTempC: 20 };
    expect(outOfCold('US', [stretch], clock('11:00')).discardAt).toBe(clock('16:00'));
    expect(outOfCold('US', [{ ...stretch, maxTempC: 22 }], clock('11:00')).discardAt).toBe(clock('14:00'));
    expect(outOfCold('UK', [stretch], clock('11:00')).discardAt).toBe(clock('14:00'));
  });

  it('passes 60 to 21 °C in 90 min and 5 °C in 5 h, and fails 21 °C after 2 h 10 min or 5 °C after 6 h 10 min', () => {
    // Source: Food Code 3-501.14 (Tennessee and Georgia texts).
    const cool = (mid: string, end: string) => [
      { at: clock('10:00'), tempC: 60 },
      { at: clock(mid), tempC: 21 },
      { at: clock(end), tempC: 5 },
    ];
    expect(coolingOf('US', cool('11:30', '15:00'), clock('15:00'))).toEqual({
      state: 'in time',
      midBy: clock('12:00'),
      endBy: clock('16:00'),
      startKnown: true,
      startAt: clock('10:00'),
      midAt: clock('11:30'),
      midC: 21,
      endC: 5,
    });
    expect(coolingOf('US', cool('12:10', '15:00'), clock('15:00')).state).toBe('too slow');
    expect(coolingOf('US', cool('11:30', '16:10'), clock('16:10')).state).toBe('too slow');
    expect(coolingOf('US', cool('11:30', '15:00').slice(0, 2), clock('13:00')).state).toBe('under way');
    expect(coolingOf('US', cool('11:30', '15:00').slice(0, 1), clock('12:01')).state).toBe('too slow');
    expect(coolingOf('US', [], clock('12:00')).state).toBe('no readings');
  });

  it('starts at the last reading at 57 °C, and says when there was none', () => {
    const readings = [
      { at: clock('09:00'), tempC: 80 },
      { at: clock('10:00'), tempC: 58 },
      { at: clock('11:50'), tempC: 20 },
    ];
    expect(coolingOf('US', readings, clock('12:00'))).toMatchObject({ state: 'under way', midBy: clock('12:00') });
    expect(coolingOf('US', readings.slice(2), clock('12:00'))).toMatchObject({ startKnown: false });
  });
});

describe('doses', () => {
  it('finds 27.5 mg quinine in 3/4 US fl oz of a syrup of 1,251 mg/l, within 0.4', () => {
    // Source: the worked figures of food_safety-040.
    expect(Math.abs(quinineMg(1251, 0.75 * 29.5735295625) - 27.5)).toBeLessThanOrEqual(0.4);
  });

  it('allows 14.7 mg in a 177.44 ml drink, within 0.1', () => {
    // Source: 21 CFR 172.575 applied to a 6 oz drink, food_safety-041.
    expect(Math.abs(quinineLimitMg(177.44) - 14.7)).toBeLessThanOrEqual(0.1);
  });

  it('gives 20 g of bark in 1 l a range of 400 to 1,400 mg/l, 2,600 at the most that was found', () => {
    expect(quinineOfBark(20, 1000)).toEqual({ lowMgPerL: 400, highMgPerL: 1400, mostMgPerL: 2600 });
    expect(() => quinineOfBark(20, 0)).toThrow(Refusal);
    expect(() => quinineMg(Number.NaN, 20)).toThrow(Refusal);
  });

  it('finds every raw kernel amount above 0.37 g over the reference dose', () => {
    // Source: EFSA Journal 2016;14(4):4424, food_safety-043: recommended amounts are 3 to 71 times the dose.
    expect([3, 71].map(exceedsReferenceDose)).toEqual([true, true]);
    expect([kernelTimesReferenceDose(0.37), kernelTimesReferenceDose(0.74), kernelTimesReferenceDose(0.06, 'toddler')]).toEqual([1, 2, 1]);
    expect(exceedsReferenceDose(1)).toBe(false);
    expect(cyanideReferenceUg(70)).toBe(1400);
  });
});
