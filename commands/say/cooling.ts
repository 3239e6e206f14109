import type { coolingOf } from '../../craft/dates.ts';

/** What is left to choose; 3-501.14 counts from the start, so heating again helps only before the first limit is over. */
export const COOLING_CHOICE = 'Not cooling fast enough: heat it through again before the first limit is over and cool it anew, or bin it.';
export const COOLING_MISSED = 'Bin it, or as your food-safety plan says: heating it again only counts before the first limit is over.';

/** How a hot pot stands to its limits, once a reading began the count; null before. */
export function sayCooling(cooling: ReturnType<typeof coolingOf>, clock: (at: number) => string): string | null {
  const { midBy, endBy, midC, endC } = cooling;
  if (midBy === null || endBy === null) return null;
  switch (cooling.state) {
    case 'no readings':
      return null;
    case 'in time':
      return `By what was read it reached ${midC} and ${endC} °C within the limits.`;
    case 'under way':
      return cooling.midAt === null
        ? `Cool it to ${midC} °C by ${clock(midBy)} and to ${endC} °C by ${clock(endBy)}. I ask before each.`
        : `Cool it to ${endC} °C by ${clock(endBy)}. I ask before that.`;
    case 'too slow':
      return `Too slow by what was read (${midC} °C by ${clock(midBy)}, ${endC} °C by ${clock(endBy)}). ${COOLING_MISSED}`;
  }
}
