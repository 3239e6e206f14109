/**
 * A channel, role or person named by its id: the edge draws it as the platform does, and it notifies nobody.
 * Private-use characters mark it, so that nothing a person types can be taken for one.
 */
const marked = (sign: '#' | '@&' | '@', id: string): string => `\ue000${sign}${id}\ue001`;

export const roomRef = (id: string): string => marked('#', id);
export const roleRef = (id: string): string => marked('@&', id);
export const personRef = (id: string): string => marked('@', id);
