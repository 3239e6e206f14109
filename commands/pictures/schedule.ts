import { addDays, dayOf, instantOf, wallOf, wordClock, wordDay } from '../../craft/hours.ts';
import type { Plan } from '../../craft/plan-types.ts';
import type { Drawing, Mark } from './drawing.ts';
import { openPen, type Pen, paint } from './paint.ts';

/** Inks of one look each: drawn on paper, or for a dark room. */
interface Look {
  readonly paper: string;
  readonly ink: string;
  readonly faint: string;
  readonly rule: string;
  readonly rest: string;
  readonly work: string;
  readonly need: string;
}
const LIGHT: Look = {
  paper: '#ffffff',
  ink: '#1c1b1a',
  faint: '#6b6762',
  rule: '#e3dfda',
  rest: '#cfe0d4',
  work: '#2f6b46',
  need: '#b3261e',
};
const DARK: Look = {
  paper: '#1e1f22',
  ink: '#f2f0ed',
  faint: '#a8a39c',
  rule: '#3a3b40',
  rest: '#35523f',
  work: '#8fd0a4',
  need: '#ff8a80',
};

const WIDTH_MM = 240;
const MARGIN_MM = 6;
const ROW_MM = 13;
const HEAD_MM = 24;
const NAME_MM = 52;
const BAR_MM = 4.2;
const TEXT_MM = 3.1;
const GAP_MM = 1.2;
/** A picture is looked at on a phone: what comes after stays in the list. */
const ROWS_MOST = 24;

/** A plan as a picture: a bar a batch, its hands-on work dark, with lines for now and for when it is needed. */
export async function schedulePng(plan: Plan, title: string, at: number, now: number, zone: string, isDark = false): Promise<Uint8Array> {
  return paint(scheduleOf(plan, title, at, now, zone, isDark ? DARK : LIGHT, await openPen()), 5);
}

/** @returns the drawing; `pen` measures, so that no label runs into another or off the edge */
export function scheduleOf(
  plan: Plan,
  title: string,
  at: number,
  now: number,
  zone: string,
  look: Look = LIGHT,
  pen: Pen = () => 0.6,
): Drawing {
  const rows = [...plan.batches].sort((a, b) => (a.jobs[0]?.fromAt ?? 0) - (b.jobs[0]?.fromAt ?? 0)).slice(0, ROWS_MOST);
  const from = Math.min(now, ...rows.flatMap((batch) => batch.jobs.map((job) => job.fromAt)));
  const span = Math.max(at - from, 3_600_000) * 1.04;
  const left = MARGIN_MM + NAME_MM;
  const right = WIDTH_MM - MARGIN_MM;
  const x = (instant: number) => left + ((instant - from) / span) * (right - left);
  const heightMm = HEAD_MM + rows.length * ROW_MM + MARGIN_MM + 4;
  const marks: Mark[] = [];
  const text = (
    value: string,
    xMm: number,
    yMm: number,
    ink: string,
    weight: 400 | 600 | 800 = 400,
    where: 'start' | 'middle' | 'end' = 'start',
    sizeMm = TEXT_MM,
  ) => marks.push({ is: 'text', text: value, xMm, yMm, sizeMm, weight, ink, at: where });
  const width = (value: string, weight: 400 | 600 | 800 = 400, sizeMm = TEXT_MM) => pen(value, weight) * sizeMm;

  text(shortTo(title, right - MARGIN_MM, 800, 5, width), MARGIN_MM, MARGIN_MM + 4.5, look.ink, 800, 'start', 5);
  dayLines(from, from + span, zone, x, left, right, heightMm, now, look, marks, width);

  const clock = (instant: number) => wordClock(wallOf(instant, zone).min);
  for (const [index, batch] of rows.entries()) {
    const top = HEAD_MM + index * ROW_MM;
    const middle = top + ROW_MM - BAR_MM - 1;
    const start = batch.jobs[0]?.fromAt ?? from;
    const end = batch.jobs.at(-1)?.toAt ?? start;
    marks.push({ is: 'rect', xMm: MARGIN_MM, yMm: top + ROW_MM, widthMm: right - MARGIN_MM, heightMm: 0.15, ink: look.rule });
    text(shortTo(batch.name, NAME_MM - 2, 600, TEXT_MM, width), MARGIN_MM, middle + BAR_MM - 0.9, look.ink, 600);
    marks.push({
      is: 'rect',
      xMm: x(start),
      yMm: middle,
      widthMm: Math.max(0.6, x(end) - x(start)),
      heightMm: BAR_MM,
      ink: look.rest,
      roundMm: 0.8,
    });
    for (const job of batch.jobs)
      marks.push({
        is: 'rect',
        xMm: x(job.fromAt),
        yMm: middle,
        widthMm: Math.max(0.9, x(job.toAt) - x(job.fromAt)),
        heightMm: BAR_MM,
        ink: look.work,
        roundMm: 0.5,
      });
    // Labels stand above the bar, each where its job begins; one that would touch the last is left to the list.
    let free = left;
    for (const job of batch.jobs) {
      const label = `${clock(job.fromAt)} ${job.title.split(' ')[0]?.toLowerCase() ?? ''}`;
      const wide = width(label);
      // Left of the line that says when it is needed, not across it.
      const edge = job.fromAt < at ? x(at) - GAP_MM : right;
      const at0 = Math.max(free, Math.min(x(job.fromAt), edge - wide));
      if (at0 > x(job.fromAt) + 6 || at0 + wide > edge + 0.01) continue;
      text(label, at0, middle - 1.1, look.faint);
      free = at0 + wide + GAP_MM;
    }
  }
  const below = HEAD_MM + rows.length * ROW_MM;
  const lineAt = (instant: number, ink: string) =>
    marks.push({ is: 'rect', xMm: x(instant) - 0.2, yMm: HEAD_MM - 2, widthMm: 0.4, heightMm: below - HEAD_MM + 3, ink });
  lineAt(now, look.faint);
  lineAt(at, look.need);
  const needed = `needed ${clock(at)}`;
  const neededFrom = Math.min(x(at), right) - width(needed, 600);
  text(needed, Math.min(x(at), right), below + 4.6, look.need, 600, 'end');
  if (x(now) + width('now') + GAP_MM < neededFrom) text('now', x(now), below + 4.6, look.faint);
  return { widthMm: WIDTH_MM, heightMm, paper: look.paper, marks };
}

/** Midnights as thin lines, their days named where there is room. */
function dayLines(
  from: number,
  to: number,
  zone: string,
  x: (at: number) => number,
  left: number,
  right: number,
  heightMm: number,
  now: number,
  look: Look,
  marks: Mark[],
  width: (text: string, weight?: 400 | 600 | 800, sizeMm?: number) => number,
): void {
  const today = dayOf(now, zone);
  let free = left;
  for (let day = dayOf(from, zone); instantOf(day, 0, zone) < to; day = addDays(day, 1)) {
    const midnight = Math.max(from, instantOf(day, 0, zone));
    const next = Math.min(to, instantOf(addDays(day, 1), 0, zone));
    if (midnight > from)
      marks.push({ is: 'rect', xMm: x(midnight), yMm: HEAD_MM - 5, widthMm: 0.15, heightMm: heightMm - HEAD_MM - 1, ink: look.rule });
    const name = wordDay(day, today);
    const wide = width(name, 600);
    const at = Math.max(free, x(midnight) + GAP_MM);
    if (at + wide > Math.min(right, x(next))) continue;
    marks.push({ is: 'text', text: name, xMm: at, yMm: HEAD_MM - 6, sizeMm: TEXT_MM, weight: 600, ink: look.faint });
    free = at + wide + GAP_MM;
  }
}

function shortTo(
  text: string,
  widthMm: number,
  weight: 400 | 600 | 800,
  sizeMm: number,
  width: (text: string, weight: 400 | 600 | 800, sizeMm: number) => number,
): string {
  if (width(text, weight, sizeMm) <= widthMm) return text;
  let kept = text;
  while (kept.length > 1 && width(`${kept}…`, weight, sizeMm) > widthMm) kept = kept.slice(0, -1).trimEnd();
  return `${kept}…`;
}
