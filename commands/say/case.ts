/** A sentence begun with what was one of its middle. */
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** What began a sentence, in the middle of one. */
export const decapital = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);
