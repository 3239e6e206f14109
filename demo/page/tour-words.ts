/** A line of the tour as one would tell it. */
export function tourWords(line: string): string {
  const [word = '', ...rest] = line.trim().split(' ');
  const said = rest.join(' ');
  switch (word) {
    case '@press':
      return `press ${said.replace(/ \d+$/, '')}`;
    case '@fill':
      return said.includes('<<') ? 'write the sheet and send it' : `fill in ${said.replace(':', ': ')} and send it`;
    case '@pick':
      return `choose ${said}`;
    case '@pomace':
      return `ask in words: ${said}`;
    case '@advance':
      return `let ${said} pass`;
    case '@menu':
      return `use ${said} on the last message`;
    case '@say':
      return `say: ${said}`;
    default:
      return line;
  }
}
