import { describe, expect, it } from 'vitest';
import { plainText, type Reader } from '../../demo/plain-text.ts';

const NAMES = new Map([
  ['100000000000000001', 'Mara'],
  ['100000000000000002', 'prep'],
  ['100000000000000003', 'walk-in'],
]);
const reader: Reader = { nameOf: (id) => NAMES.get(id), nowAt: Date.UTC(2026, 2, 27, 11, 30), zone: 'Europe/London' };

describe('reading a message as a person does', () => {
  it.each([
    ['**Got 1.47 l**, 92 % of _expected_', 'Got 1.47 l, 92 % of expected'],
    ['__under__ ~~struck~~ ||hidden|| ***both***', 'under struck hidden both'],
    ['# Two parts\n-# a foot\n> said\n- one\n* two', 'Two parts\na foot\nsaid\n• one\n• two'],
    ['\\*not bold\\* \\_nor this\\_ 1\\. \\# \\`code\\`', '*not bold* _nor this_ 1. # `code`'],
    ['snake_case_name 3 * 4 * 5', 'snake_case_name 3 * 4 * 5'],
    ['`**as typed**`', '**as typed**'],
    ['```\n180 g pear peel\n- **x**\n```', '180 g pear peel\n- **x**'],
    ['[the sheet](https://example.org)', 'the sheet'],
    ['<@100000000000000001> of <@&100000000000000002> in <#100000000000000003>', '@Mara of @prep in #walk-in'],
    ['<@99999999999999999>', '@unknown person'],
    ['</recipe add:100000000000000001>', '/recipe add'],
    ['\\<@100000000000000001>', '<@100000000000000001>'],
    ['@\u200beveryone', '@everyone'],
    ['≈ 1.05 kg · ½ oz — שלום', '≈ 1.05 kg · ½ oz — שלום'],
    ['', ''],
  ])('%j reads %j', (markdown, text) => {
    expect(plainText(markdown, reader)).toBe(text);
  });

  // 27 March 2026 is two days before the clocks go forward in London (tz database).
  it.each([
    ['<t:1774611000>', 'Fri 27 Mar 11:30'],
    ['<t:1774611000:t>', '11:30'],
    ['<t:1774611000:D>', 'Fri 27 Mar 2026'],
    ['<t:1774789200:f>', 'Sun 29 Mar 14:00'],
    ['<t:1774618200:R>', 'in 2 h'],
    ['<t:1774610400:R>', '10 min ago'],
  ])('%s is %s in London', (markdown, text) => {
    expect(plainText(markdown, reader)).toBe(text);
  });
});
