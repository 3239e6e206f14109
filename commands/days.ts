import { addDays, type Day, dayOf, daysBetween, parseDay, wordDay } from '../craft/hours.ts';
import { lineOf } from '../craft/line.ts';
import { asksOpened } from '../craft/perishables.ts';
import { Refusal } from '../craft/refusal.ts';
import type { Button, Pressed, Reply } from './command.ts';
import { button } from './say/card.ts';

/** "Opened when?" asked with buttons: today, yesterday, the days before, or typed. */

const DAYS_SHOWN = 4;

/** Whether a thing of that name is asked "Opened when?": dairy, egg and the like. */
export function asksDay(name: string): boolean {
  return asksOpened({ name, parts: [{ name: null, items: [lineOf(name, { is: 'to-taste' })] }] }).length > 0;
}

/** The last days as buttons, and *Earlier* for a typed one. */
export function dayButtons(press: string, args: readonly (string | number)[], now: number, zone: string): Button[][] {
  const today = dayOf(now, zone);
  const days = Array.from({ length: DAYS_SHOWN }, (_, back) => addDays(today, -back));
  const labels = days.map((day, back) => (back === 0 ? 'Today' : back === 1 ? 'Yesterday' : wordDay(day, today)));
  return [
    [
      ...days.map((day, at) => button(labels[at] ?? day, press, [...args, day], at === 0 ? 'main' : 'plain')),
      button('Earlier', press, [...args, 'earlier']),
    ],
  ];
}

/** The day that was pressed or typed; *Earlier* opens a form for it. @throws Refusal `day-unreadable`, `day-in-future` */
export function dayPicked(
  press: string,
  pressed: Pressed,
  now: number,
  zone: string,
): { readonly day: Day } | Extract<Reply, { form: unknown }> {
  const last = pressed.args.at(-1) ?? '';
  const today = dayOf(now, zone);
  const typed = pressed.fields['day'];
  if (typed === undefined && last === 'earlier') {
    return {
      form: {
        press,
        args: pressed.args,
        title: 'Opened when?',
        fields: [{ is: 'text', name: 'day', label: 'Day opened', required: true, hint: 'Monday, or 23 Nov', max: 30 }],
      },
    };
  }
  const day = typed === undefined ? last : parseDay(typed, now, zone, 'past');
  if (!/^\d{4}-\d{2}-\d{2}$/.test(day)) throw new Refusal('day-unreadable', 'I could not read that day. Type it like Monday or 23 Nov.');
  if (day > today) throw new Refusal('day-in-future', 'That day lies ahead. When was it opened: today, yesterday, Monday?');
  if (daysBetween(day, today) > 366) throw new Refusal('day-too-old', 'That is over a year ago. If it is right, bin it.');
  return { day };
}
