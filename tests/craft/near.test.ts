import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { foldName, nearestNames, slipsBetween } from '../../craft/near.ts';

const NAMES = [
  'Damson and tarragon shrub',
  'Pear and cider-vinegar cordial',
  'Brown-butter rum',
  'Crème of celery',
  'Orgeat',
  'Lime husk stock',
  'Rhubarb & vanilla cordial',
];

describe('did you mean', () => {
  it.each([
    ['damsen', 'Damson and tarragon shrub'],
    ['DAMSON', 'Damson and tarragon shrub'],
    ['creme of celery', 'Crème of celery'],
    ['pear cordial', 'Pear and cider-vinegar cordial'],
    ['brown buter rum', 'Brown-butter rum'],
    ['orgaet', 'Orgeat'],
    ['husk', 'Lime husk stock'],
    ['rhubarb and vanilla', 'Rhubarb & vanilla cordial'],
  ])('offers for "%s" first of all "%s"', (typed, name) => {
    expect(nearestNames(typed, NAMES)[0]).toBe(name);
  });

  it('offers nothing for what is far from every name, or for nothing typed', () => {
    expect(nearestNames('zebra crossing', NAMES)).toEqual([]);
    expect(nearestNames('', NAMES)).toEqual([]);
    expect(nearestNames('!!!', NAMES)).toEqual([]);
  });

  it('offers at most as many as asked', () => {
    expect(nearestNames('cordial', NAMES, 1)).toHaveLength(1);
    expect(nearestNames('cordial', NAMES, 3)).toHaveLength(2);
  });

  it('offers a name that differs by one slip, wherever the slip is', () => {
    fc.assert(
      fc.property(fc.constantFrom(...NAMES.filter((n) => n.length > 8)), fc.nat(), (name, at) => {
        const i = at % name.length;
        expect(nearestNames(name.slice(0, i) + name.slice(i + 1), NAMES)).toContain(name);
      }),
    );
  });

  it('answers for 5,000 names of 400 letters and a pasted page in under half a second', () => {
    const names = Array.from({ length: 5000 }, (_, i) => `${'abcdefgh '.repeat(44)}${i}`);
    const start = process.cpuUsage();
    nearestNames('x'.repeat(4000), names);
    const { user, system } = process.cpuUsage(start);
    expect((user + system) / 1e6).toBeLessThan(0.5);
  });
});

describe('typing slips', () => {
  it.each([
    ['damson', 'damson', 0],
    ['damsen', 'damson', 1],
    ['orgaet', 'orgeat', 1],
    ['gin', 'ginger', 3],
    ['kitten', 'sitting', 3],
  ] as const)('between %s and %s are %d', (a, b, slips) => {
    expect(slipsBetween(a, b, 5)).toBe(slips);
  });

  it('stop counting above the most asked for', () => {
    expect(slipsBetween('aaaaaaaa', 'bbbbbbbb', 2)).toBe(3);
  });

  it('are as many one way as the other', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 8 }), fc.string({ maxLength: 8 }), (a, b) => slipsBetween(a, b, 9) === slipsBetween(b, a, 9)),
    );
  });

  it('folds case, accents, punctuation and ampersands', () => {
    expect(foldName('  Crème & Rhubarb—Cordial! ')).toBe('creme and rhubarb cordial');
  });
});
