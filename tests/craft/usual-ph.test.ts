import { describe, expect, it } from 'vitest';
import { cautionsOf } from '../../craft/cautions.ts';
import { datesOf } from '../../craft/dates.ts';
import { parseSheet } from '../../craft/sheet.ts';
import { PH_OF_FOODS } from '../../craft/tables/ph-of-foods.ts';
import { acidClassOf, usualPhOf } from '../../craft/usual-ph.ts';

describe('usual pH of raw foods', () => {
  // Source: the FDA's list of approximate pH and handbook tables, as in the table's rows.
  it.each([
    ['pears', 3.6, 4, 'acid'],
    ['lime juice', 2, 2.35, 'acid'],
    ['bananas', 4.5, 5.2, 'straddles'],
    ['apricots', 3.3, 4.8, 'straddles'],
    ['carrots', 5.88, 6.4, 'low-acid'],
    ['milk', 6.3, 6.6, 'low-acid'],
    ['ginger', 5.6, 5.9, 'low-acid'],
    ['maple syrup', 5.15, 5.15, 'low-acid'],
    ['butter', 6.1, 6.4, 'low-acid'],
  ])('%s: %d to %d, %s', (name, lowPh, highPh, acidClass) => expect(usualPhOf(name)).toEqual({ lowPh, highPh, acidClass }));

  it('takes the widest span where lists differ: strawberries 3.0 to 3.9, rhubarb 3.1 to 3.4', () => {
    expect(usualPhOf('strawberries')).toMatchObject({ lowPh: 3, highPh: 3.9 });
    expect(usualPhOf('rhubarb')).toMatchObject({ lowPh: 3.1, highPh: 3.4 });
  });

  it('knows nothing of gin or of a pear cordial', () => expect([usualPhOf('gin'), usualPhOf('pear cordial')]).toEqual([null, null]));

  it('puts 4.6 itself on the acid side', () =>
    expect([acidClassOf(4, 4.6), acidClassOf(4, 4.61), acidClassOf(4.6, 5), acidClassOf(4.61, 5)]).toEqual([
      'acid',
      'straddles',
      'straddles',
      'low-acid',
    ]));

  it('finds each row of the table by its own name', () => {
    const lost = PH_OF_FOODS.filter(({ food, lowPh, highPh }) => {
      const usual = usualPhOf(food);
      return usual === null || !(usual.lowPh <= lowPh && usual.highPh >= highPh);
    });
    expect(lost.map((row) => row.food)).toEqual([]);
  });

  it('moves no date: lime juice of usual pH 2.0 to 2.35 keeps its day count until somebody logs a reading', () => {
    const dates = datesOf(
      {
        name: 'lime juice',
        is: 'made',
        on: '2026-03-06',
        form: 'liquid',
        readings: [{ measure: 'pH', value: usualPhOf('lime juice')?.highPh ?? 7, at: 0, by: 'the list', strained: true, from: 'estimate' }],
      },
      { set: 'US', zone: 'UTC', today: '2026-03-06' },
    );
    expect(dates.useBy).toBe('2026-03-12');
  });

  it('names the low-acid line of a thing that is sealed hot', () => {
    const [caution] = cautionsOf(parseSheet('Carrot base\n1 kg carrots\n500 ml water\nsimmer 10 min\nbottle hot').recipe);
    expect(caution?.text).toContain('carrots: usually pH 5.88 to 6.4.');
  });
});
