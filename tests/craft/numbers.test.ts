import { describe, expect, it } from 'vitest';
import { isStrokeRange, scanNumber } from '../../craft/numbers.ts';

/** What is read, what is left of the text, and whether it is a whole, a fraction or a decimal, in figures or in words. */
const read = (text: string, index = 0) => {
  const found = scanNumber(text, index);
  if (found === null) return null;
  const kind = [found.whole ? 'whole' : '', found.fraction ? 'fraction' : ''].join('') || 'decimal';
  return [found.value, text.slice(found.end), found.word === true ? `${kind} word` : kind];
};
const close = (value: number): unknown => expect.closeTo(value, 12);

describe('numbers in figures', () => {
  it.each([
    ['12', 12, '', 'whole'],
    ['45 ml', 45, ' ml', 'whole'],
    ['4.5 cl', 4.5, ' cl', 'decimal'],
    ['4,25 cl', 4.25, ' cl', 'decimal'],
    ['.75 oz', 0.75, ' oz', 'decimal'],
    [',75 oz', 0.75, ' oz', 'decimal'],
    ['.750 oz', 0.75, ' oz', 'decimal'],
    ['0.500 l', 0.5, ' l', 'decimal'],
    ['1234.567 g', 1234.567, ' g', 'decimal'],
    ['2. Stir', 2, '. Stir', 'whole'],
    ['1.234.567 g', 1_234_567, ' g', 'whole'],
    ['1,234,567 g', 1_234_567, ' g', 'whole'],
    ['1.234,5 g', 1234.5, ' g', 'decimal'],
    ['1,234,567.25 g', 1_234_567.25, ' g', 'decimal'],
    ['1000000000 g', 1e9, ' g', 'whole'],
    ['1\u202f500 g', 1500, ' g', 'whole'],
    ['12\u00a0500 g', 12_500, ' g', 'whole'],
    ['123\u2009500 g', 123_500, ' g', 'whole'],
    ['1234\u2009500 g', 1234, '\u2009500 g', 'whole'],
    ['1\u00a05000 g', 1, '\u00a05000 g', 'whole'],
    ['1\u00a050 g', 1, '\u00a050 g', 'whole'],
  ])('reads "%s" as %d', (text, value, rest, kind) => expect(read(text)).toEqual([close(value), rest, kind]));

  it.each(['1000000001 g', '1.23.456', '1.234.56', '1.234,567.8', '1,234.567,8', '1234567890123456', '', '-3', 'ml'])(
    'reads no number at the start of "%s"',
    (text) => expect(read(text)).toBeNull(),
  );

  it('leaves open what 1.500 and 999,125 mean, with both readings', () => {
    expect(scanNumber('1.500 x', 0)).toEqual({ value: 1.5, end: 5, mark: '.', asThousands: 1500, whole: false, fraction: false });
    expect(scanNumber('999,125', 0)).toMatchObject({ value: 999.125, mark: ',', asThousands: 999_125 });
    expect(scanNumber('10.500', 0)).toMatchObject({ mark: '.', asThousands: 10_500 });
    expect(['0.500', '1.50', '1.5000', '1234.500'].map((text) => scanNumber(text, 0)?.mark)).toEqual(Array(4).fill(undefined));
  });

  it('starts at the place it is told', () => expect(read('ml 30 g', 3)).toEqual([30, ' g', 'whole']));
});

describe('fractions', () => {
  // The vulgar fractions of Unicode (Number Forms and Latin-1): each sign's numeric value by its name.
  it.each([
    ['½', 1, 2],
    ['⅓', 1, 3],
    ['⅔', 2, 3],
    ['¼', 1, 4],
    ['¾', 3, 4],
    ['⅕', 1, 5],
    ['⅖', 2, 5],
    ['⅗', 3, 5],
    ['⅘', 4, 5],
    ['⅙', 1, 6],
    ['⅚', 5, 6],
    ['⅐', 1, 7],
    ['⅛', 1, 8],
    ['⅜', 3, 8],
    ['⅝', 5, 8],
    ['⅞', 7, 8],
    ['⅑', 1, 9],
    ['⅒', 1, 10],
  ])('reads %s alone and after a whole as %d/%d', (sign, top, bottom) => {
    expect(read(`${sign} oz`)).toEqual([close(top / bottom), ' oz', 'fraction']);
    expect(read(`2${sign} oz`)).toEqual([close(2 + top / bottom), ' oz', 'fraction']);
    expect(read(`2 ${sign} oz`)).toEqual([close(2 + top / bottom), ' oz', 'fraction']);
  });

  it.each([
    ['3/4 oz', 0.75, ' oz'],
    ['3 ⁄ 4 oz', 0.75, ' oz'],
    ['3∕4 oz', 0.75, ' oz'],
    ['15/16 oz', 0.9375, ' oz'],
    ['1/2 of a lime', 0.5, ' lime'],
    ['1/2 a lime', 0.5, ' lime'],
    ['½ an orange', 0.5, ' orange'],
    ['3/2 a lime', 1.5, ' a lime'],
    ['1 1/2 oz', 1.5, ' oz'],
    ['1-1/2 oz', 1.5, ' oz'],
    ['1–1/2 oz', 1.5, ' oz'],
    ['1 and 1/2 oz', 1.5, ' oz'],
    ['1 & ½ oz', 1.5, ' oz'],
    ['2 and a half oz', 2.5, ' oz'],
    ['2 and one-half oz', 2.5, ' oz'],
    ['1 and three quarters oz', 1.75, ' oz'],
    ['1 and two-thirds oz', 1 + 2 / 3, ' oz'],
    ['1 and a third oz', 1 + 1 / 3, ' oz'],
    ['1 half lime', 0.5, ' lime'],
    ['1 media naranja', 0.5, ' naranja'],
    ['11/2 oz', 1.5, ' oz'],
    ['21/4 oz', 2.25, ' oz'],
    ['13/4 oz', 1.75, ' oz'],
    ['17/8 oz', 1.875, ' oz'],
    ['14/3 oz', 14 / 3, ' oz'],
    ['20/4 oz', 5, ' oz'],
    ['14/2 oz', 7, ' oz'],
    ['9/8 oz', 1.125, ' oz'],
  ])('reads "%s" as %d', (text, value, rest) => expect(read(text)).toEqual([close(value), rest, 'fraction']));

  it('says where a mixed number had lost its space, and only there', () => {
    expect(scanNumber('21/4 oz', 0)?.guess).toBe('21/4 read as 2 1/4');
    expect(scanNumber('9/8 oz', 0)?.guess).toBeUndefined();
    expect(scanNumber('20/4 oz', 0)?.guess).toBeUndefined();
  });

  it.each([
    ['2 31/2-ounce bars', 2, ' 31/2-ounce bars'],
    ['2 - 1/2', 2, ' - 1/2'],
    ['2 half limes', 2, ' half limes'],
    ['2 0/4 oz', 2, ' 0/4 oz'],
    ['2 4/4 oz', 2, ' 4/4 oz'],
  ])('reads the first of "%s" as a number of its own', (text, value, rest) => expect(read(text)).toEqual([value, rest, 'whole']));

  it('reads nothing over 0', () => expect(read('1/0 oz')).toBeNull());

  it('takes a stroke for "to" between two figures of which the second is larger, unless a ruler parts by it', () => {
    expect([isStrokeRange('30', '40'), isStrokeRange('10', '12'), isStrokeRange('100', '150')]).toEqual([true, true, true]);
    for (const [from, to] of [
      ['3', '40'],
      ['03', '40'],
      ['40', '30'],
      ['30', '30'],
      ['15', '16'],
      ['15', '32'],
      ['15', '64'],
      ['30', '9'],
    ] as const)
      expect(isStrokeRange(from, to)).toBe(false);
    expect(read('30/40 ml')).toEqual([30, '/40 ml', 'whole']);
  });
});

describe('numbers in words', () => {
  const WORDS: Readonly<Record<number, string>> = {
    1: 'one',
    2: 'two dos deux due zwei dois duas',
    3: 'three tres trois tre drei',
    4: 'four cuatro quatre quattro vier quatro',
    5: 'five cinco cinq cinque fünf',
    6: 'six seis sei sechs',
    7: 'seven',
    8: 'eight ocho huit otto acht oito',
    9: 'nine',
    10: 'ten diez dix dieci zehn dez',
    11: 'eleven',
    12: 'twelve',
    13: 'thirteen',
    14: 'fourteen',
    15: 'fifteen',
    16: 'sixteen',
    18: 'eighteen',
    20: 'twenty',
    30: 'thirty',
    40: 'forty',
    50: 'fifty',
    60: 'sixty',
    70: 'seventy',
    80: 'eighty',
    90: 'ninety',
  };
  const rows = Object.entries(WORDS).flatMap(([value, words]) => words.split(' ').map((word) => [word, Number(value)] as const));
  it.each(rows)('reads %s as %d', (word, value) => expect(read(`${word} limes`)).toEqual([value, ' limes', 'whole word']));

  it.each('half medio media demi demie mezzo mezza halbe halber halbes meio meia'.split(' '))('reads %s as 0.5', (word) =>
    expect(read(`${word} lime`)).toEqual([0.5, ' lime', 'fraction word']),
  );

  it.each([
    ['quarter of a lime', 0.25, ' lime', 'fraction word'],
    ['third cup', 1 / 3, ' cup', 'fraction word'],
    ['dozen limes', 12, ' limes', 'whole word'],
    ['Two limes', 2, ' limes', 'whole word'],
    ['half of a lime', 0.5, ' lime', 'fraction word'],
    ['two dozen limes', 24, ' limes', 'whole word'],
    ['half dozen limes', 6, ' limes', 'whole word'],
    ['half a dozen limes', 6, ' limes', 'whole word'],
    ['3 dozen limes', 36, ' limes', 'whole'],
    ['2 doz. of limes', 24, ' limes', 'whole'],
    ['2 docenas limes', 24, ' limes', 'whole'],
    ['twenty one limes', 21, ' limes', 'whole word'],
    ['twenty five limes', 25, ' limes', 'whole word'],
    ['twenty ten', 20, ' ten', 'whole word'],
    ['twelve one', 12, ' one', 'whole word'],
    ['two hundred ml', 200, ' ml', 'whole word'],
    ['one hundred ml', 100, ' ml', 'whole word'],
    ['a hundred ml', 100, ' ml', 'whole word'],
    ['two and a half cups', 2.5, ' cups', 'fraction'],
    ['one and three quarters cups', 1.75, ' cups', 'fraction'],
    ['two and half cups', 2.5, ' cups', 'fraction'],
    ['one half cup', 0.5, ' cup', 'fraction'],
    ['two half cups', 1, ' cups', 'fraction'],
    ['two thirds of a cup', 2 / 3, ' cup', 'fraction word'],
    ['one third cup', 1 / 3, ' cup', 'fraction word'],
    ['three quarters of a cup', 0.75, ' cup', 'fraction word'],
    ['one quarter cup', 0.25, ' cup', 'fraction word'],
    ['one-half cup', 0.5, ' cup', 'fraction word'],
    ['three-quarters of a cup', 0.75, ' cup', 'fraction word'],
    ['three-fourths cup', 0.75, ' cup', 'fraction word'],
    ['three-eighths cup', 0.375, ' cup', 'fraction word'],
    ['one-eighth cup', 0.125, ' cup', 'fraction word'],
    ['one-third cup', 1 / 3, ' cup', 'fraction word'],
    ['two-thirds cup', 2 / 3, ' cup', 'fraction word'],
    ['couple of limes', 2, ' limes', 'whole word'],
    ['twelve hundred ml', 12, ' hundred ml', 'whole word'],
    ['twelve and a half cups', 12, ' and a half cups', 'whole word'],
    ['four thirds cup', 4, ' thirds cup', 'whole word'],
    ['half and half cream', 0.5, ' and half cream', 'fraction word'],
    ['half lime', 0.5, ' lime', 'fraction word'],
    ['a couple of limes', 2, ' limes', 'whole word'],
    ['a half cup', 0.5, ' cup', 'fraction word'],
    ['a quarter of a cup', 0.25, ' cup', 'fraction word'],
    ['a third cup', 1 / 3, ' cup', 'fraction word'],
    ['a dozen limes', 12, ' limes', 'whole word'],
    ['una media naranja', 0.5, ' naranja', 'fraction word'],
    ['a pinch of salt', 1, ' pinch of salt', 'whole word'],
    ['an egg', 1, ' egg', 'whole word'],
    ['a 3-inch piece', 1, ' 3-inch piece', 'whole word'],
    ['a 3 1/2-inch piece', 1, ' 3 1/2-inch piece', 'whole word'],
  ])('reads "%s" as %d', (text, value, rest, kind) => expect(read(text)).toEqual([close(value), rest, kind]));

  it.each('half medio media demi demie mezzo mezza halbe halber halbes meio meia'.split(' '))('reads "una %s" as 0.5', (word) =>
    expect(read(`una ${word} lime`)).toEqual([0.5, ' lime', 'fraction word']),
  );
  it.each('half medio media demi demie mezzo mezza halbe halber halbes halben meio meia'.split(' '))('reads "1 %s" as 0.5', (word) =>
    expect(read(`1 ${word} lime`)).toEqual([0.5, ' lime', 'fraction']),
  );
  it.each('dozen doz doz. dz dz. docena docenas douzaine douzaines dozzine dutzend duzia duzias dúzia dúzias'.split(' '))(
    'reads "2 %s" as 24',
    (word) => expect(read(`2 ${word} limes`)).toEqual([24, ' limes', 'whole']),
  );

  it.each(['a good stir', 'a', 'the', 'two-pour bitters', 'onerous', 'seventeenth', 'a 3 inch', 'mint'])('counts nothing in "%s"', (text) =>
    expect(read(text)).toBeNull(),
  );

  it.each('a an un una uno une ein eine einen einer um uma'.split(' '))('takes "%s" before a measure for one', (word) =>
    expect(read(`${word} dash`)).toEqual([1, ' dash', 'whole word']),
  );

  // Things that bars count though they are no measure: common practice, no source.
  it.each(
    'ladle split drink punnet tray basket jug bowl dose squirt spray glug handful gill nip spoon grating sachet stalk chunk cube sheet knob clove head wedge twist strip peel lump pack packet bag can tin jar glass shot measure scoop inch thumb squeeze drizzle ear bulb rib egg lemon lime orange grapefruit apple pear pineapple'.split(
      ' ',
    ),
  )('counts "a %s" as one', (word) => expect(read(`a ${word}`)).toEqual([1, ` ${word}`, 'whole word']));

  it('reads no word that goes on from a letter or a figure', () => {
    expect(read('bone', 1)).toBeNull();
    expect(read('4two', 1)).toBeNull();
    expect(read('-two', 1)).toEqual([2, '', 'whole word']);
  });
});
