import { describe, expect, it } from 'vitest';
import { csvOf, jsonLdOf, sheetsOfCsv, sheetsOfJson, sheetsOfText } from '../../craft/exchange.ts';
import type { Recipe } from '../../craft/recipe.ts';
import { Refusal } from '../../craft/refusal.ts';
import { parseSheet, printSheet } from '../../craft/sheet.ts';
import { PEAR_CORDIAL } from '../reference/pear-cordial.ts';

const cordial = parseSheet(PEAR_CORDIAL).recipe;

describe('recipes out and in again', () => {
  it('gives back the same recipe through JSON-LD, alone and in a graph', () => {
    const alone = sheetsOfJson(JSON.stringify(jsonLdOf(cordial)));
    const graph = sheetsOfJson(
      JSON.stringify({
        '@context': 'https://schema.org',
        '@graph': [{ '@type': 'WebSite' }, jsonLdOf(cordial), jsonLdOf(parseSheet('Saline\n20 g salt\n80 ml water').recipe)],
      }),
    );
    expect(parseSheet(alone[0]?.sheet ?? '').recipe).toEqual(cordial);
    expect(graph.map((one) => one.name)).toEqual(['Pear and cider-vinegar cordial', 'Saline']);
  });

  it('gives back the same recipe through CSV, cells with quotes, commas and newlines included', () => {
    expect(parseSheet(sheetsOfCsv(csvOf([cordial]), 'any.csv')[0]?.sheet ?? '').recipe).toEqual(cordial);
  });

  it('gives back every recipe of a text that is parted by dashes', () => {
    const text = [cordial, parseSheet('Saline\n20 g salt\n80 ml water').recipe].map(printSheet).join('\n\n---\n\n');
    expect(sheetsOfText(text).map((one) => parseSheet(one.sheet).recipe.name)).toEqual(['Pear and cider-vinegar cordial', 'Saline']);
  });

  // schema.org/Recipe: properties of the type, and HowToSection, HowToStep, totalTime as an ISO 8601 duration.
  it('uses the words of schema.org and keeps the units', () => {
    const document = jsonLdOf(cordial);
    expect(document).toMatchObject({ '@type': 'Recipe', recipeYield: '800 ml', totalTime: 'P3D' });
    expect(document['recipeIngredient']).toEqual([
      '180 g pear peel and cores',
      '300 ml cider vinegar 5%',
      '600 g pears, peeled, grated',
      '400 g white sugar',
    ]);
    expect(JSON.stringify(document['recipeInstructions'])).toContain('"@type":"HowToSection"');
  });

  it('opens in a spreadsheet without running anything: a leading equals sign is quoted', () => {
    expect(csvOf([parseSheet('=HYPERLINK test\n20 g salt\n80 ml water').recipe])).toContain("'=HYPERLINK");
  });
});

describe('documents from elsewhere', () => {
  it('reads sections, lists, entities and tags in whatever nesting they come', () => {
    const [found] = sheetsOfJson(
      JSON.stringify([
        {
          '@graph': [
            {
              '@type': ['Thing', 'Recipe'],
              name: 'Rhubarb &amp; vanilla shrub',
              recipeYield: ['4 servings'],
              recipeIngredient: ['500 g rhubarb', '400 g sugar', '&frac12; cup cider vinegar'],
              recipeInstructions: [
                { '@type': 'HowToSection', itemListElement: [{ '@type': 'HowToStep', text: 'Macerate <b>overnight</b>.' }] },
                'Strain.',
              ],
            },
          ],
        },
      ]),
    );
    const { recipe } = parseSheet(found?.sheet ?? '');
    expect(recipe.name).toBe('Rhubarb & vanilla shrub');
    expect(recipe.serves).toBe(4);
    expect(recipe.parts[0]?.items.filter((item) => item.is === 'line').map((item) => item.name)).toEqual([
      'rhubarb',
      'sugar',
      'cider vinegar',
    ]);
    expect(recipe.parts[0]?.items.filter((item) => item.is === 'step').map((item) => item.verb)).toEqual(['macerate', 'strain']);
  });

  it('reads a plain string of instructions and the older "ingredients"', () => {
    const [found] = sheetsOfJson(
      JSON.stringify({
        '@type': 'https://schema.org/Recipe',
        name: 'Saline',
        ingredients: '20 g salt\n80 ml water',
        recipeInstructions: '<p>Stir.</p><p>Bottle.</p>',
      }),
    );
    expect(parseSheet(found?.sheet ?? '').recipe.parts[0]?.items).toHaveLength(4);
  });

  it.each([
    ['not json', 'json-unreadable'],
    ['{"@type":"Person","name":"x"}', 'recipe-none-in-file'],
    [JSON.stringify({ '@graph': Array(101).fill({ '@type': 'Recipe', name: 'x' }) }), 'recipes-too-many'],
  ])('refuses %.30s with %s', (text, code) => {
    expect(() => sheetsOfJson(text)).toThrow(expect.objectContaining({ code }) as Error);
  });

  it('reads a table with a semicolon and named columns, one recipe a name', () => {
    const found = sheetsOfCsv('Drink;Qty;Unit;Ingredient\nHighball;60;ml;vermouth\nHighball;90;ml;soda\nSour;45;ml;rum', 'list.csv');
    expect(found.map((one) => one.sheet)).toEqual(['Highball\n60 ml vermouth\n90 ml soda', 'Sour\n45 ml rum']);
  });

  it('refuses a table whose columns say nothing', () => expect(() => sheetsOfCsv('a,b\n1,2', 'x.csv')).toThrow(Refusal));
});

describe('a recipe as schema.org words it', () => {
  // schema.org/Recipe: recipeYield, recipeIngredient, recipeInstructions (HowToSection of HowToStep), totalTime, keywords.
  it('writes each pot as a section of steps, what was poured together first', () => {
    const { text, ...document } = jsonLdOf(cordial);
    expect(text).toBe(printSheet(cordial));
    expect(document).toMatchObject({
      '@context': 'https://schema.org',
      recipeYield: '800 ml',
      keywords: 'keeps 30 days',
      recipeInstructions: [
        {
          '@type': 'HowToSection',
          name: 'peel',
          itemListElement: [
            { '@type': 'HowToStep', text: 'rest 24 h (12-48 h) at room temp' },
            { '@type': 'HowToStep', text: 'strain, bin the solids' },
          ],
        },
        { '@type': 'HowToSection', name: 'pears' },
        {
          name: 'then 3',
          itemListElement: [
            { '@type': 'HowToStep', text: 'mix peel and pears' },
            { '@type': 'HowToStep', text: 'rest 2 days (1-7 days) in the fridge' },
            { '@type': 'HowToStep', text: 'bottle' },
          ],
        },
      ],
    });
  });

  it('leaves out what a recipe does not say: yield, time, keywords and empty sections', () => {
    const document = jsonLdOf(parseSheet('Saline\n20 g salt\n80 ml water').recipe);
    expect(['recipeYield', 'totalTime', 'keywords'].filter((key) => key in document)).toEqual([]);
    expect(document['recipeInstructions']).toEqual([]);
  });

  it('gives serves as the yield where no amount is said, names the one pot by the recipe, and lists what a step adds', () => {
    const document = jsonLdOf(parseSheet('Saline\nserves 4\n80 ml water\nadd 20 g salt').recipe);
    expect(document).toMatchObject({ recipeYield: '4 serves', recipeInstructions: [{ name: 'Saline' }] });
    expect(document['recipeIngredient']).toEqual(['80 ml water', '20 g salt']);
  });
});

describe('what other programs write in a recipe document', () => {
  const sheetOf = (recipe: object) => sheetsOfJson(JSON.stringify({ '@type': 'Recipe', name: 'A', ...recipe }))[0]?.sheet;
  const nameOf = (name: unknown) => sheetsOfJson(JSON.stringify({ '@type': 'Recipe', name }))[0]?.name;

  it.each(['@graph', 'mainEntity', 'itemListElement', 'item', 'hasPart'])('finds a recipe under %s', (key) =>
    expect(sheetsOfJson(JSON.stringify({ '@type': 'Thing', [key]: { '@type': 'Recipe', name: 'A' } }))).toHaveLength(1),
  );
  it('finds no recipe in a type that only begins so, in numbers, nulls, or under another key', () => {
    const documents = [
      { '@type': 'RecipeBook' },
      { '@type': 'NotRecipe' },
      { '@type': 7 },
      [null, 7, 'Recipe'],
      { x: { '@type': 'Recipe' } },
    ];
    for (const document of documents)
      expect(() => sheetsOfJson(JSON.stringify(document))).toThrow('There is no schema.org Recipe in that file.');
  });
  it('takes 100 recipes and twelve levels of nesting, and says so past them', () => {
    const many = (count: number) => JSON.stringify(Array(count).fill({ '@type': 'Recipe', name: 'x' }));
    const deep = (levels: number) =>
      JSON.stringify(
        Array(levels)
          .fill(0)
          .reduce((inner) => ({ item: inner }), { '@type': 'Recipe' }),
      );
    expect(sheetsOfJson(many(100))).toHaveLength(100);
    expect(() => sheetsOfJson(many(101))).toThrow('That file holds 101 recipes. 100 at most: cut it up.');
    expect(sheetsOfJson(deep(12))).toHaveLength(1);
    expect(() => sheetsOfJson(deep(13))).toThrow(expect.objectContaining({ code: 'recipe-none-in-file' }));
    expect(() => sheetsOfJson('[1,')).toThrow('Save it again, or paste the recipe as text.');
  });

  // Character references by name and by code: HTML Living Standard, named character references.
  it.each([
    ['A &amp; B', 'A & B'],
    ['A &lt; B &gt; C', 'A < B > C'],
    ['&quot;A&quot; &apos;B&apos;', '"A" \'B\''],
    ['A&nbsp;B', 'A B'],
    ['&frac12; &frac14; &frac34; &deg;', '½ ¼ ¾ °'],
    ['&AMP; &bogus; &#189; &#233;', '& &bogus; ½ é'],
    ['A <b>bold</b> , x', 'A bold, x'],
    ['A  \t B', 'A B'],
    ['A\n\nB', 'A B'],
    ['', 'Recipe without a name'],
    [75, '75'],
    [{ a: 1 }, 'Recipe without a name'],
  ])('reads the name %j as %s', (name, read) => expect(nameOf(name)).toBe(read));

  it.each([
    ['4', 'serves 4'],
    ['12', 'serves 12'],
    ['2.5', 'serves 2.5'],
    ['2,25', 'serves 2,25'],
    [4, 'serves 4'],
    [['4 servings', 'x'], 'serves 4'],
    ['12 servings', 'serves 12'],
    ['Serves 4 people', 'serves 4'],
    ['Serves: 4 persons', 'serves 4'],
    ['serve 4 portions', 'serves 4'],
    ['Yields 12 drinks', 'serves 12'],
    ['Yield : 12 cocktails', 'serves 12'],
    ['makes 1 cocktail', 'serves 1'],
    ['1 drink', 'serves 1'],
    ['1 serving', 'serves 1'],
    ['1 portion', 'serves 1'],
    ['1 person', 'serves 1'],
    ['1 serve', 'serves 1'],
    ['4servings', 'serves 4'],
    ['750 ml', 'makes 750 ml'],
    ['Makes: 750 ml', 'makes 750 ml'],
    ['Yield 750 ml', 'makes 750 ml'],
    ['yields : 750 ml', 'makes 750 ml'],
    [{ value: 750, unitText: 'ml' }, 'makes 750 ml'],
    [{ value: 4 }, 'serves 4'],
  ])('reads a yield of %j as "%s"', (given, line) => {
    expect(sheetOf({ recipeYield: given })).toBe(`A\n${line}\n`);
    expect(sheetOf({ yield: given })).toBe(`A\n${line}\n`);
  });

  it('reads ingredients in one text or a list, one a line, without empty ones', () => {
    const sheet = 'A\n\n20 g salt\n80 ml water';
    expect(sheetOf({ recipeIngredient: ['20 g  salt', ' ', '80 ml water'] })).toBe(sheet);
    expect(sheetOf({ ingredients: ' 20 g salt\n\n \n80 ml water ' })).toBe(sheet);
  });

  it.each([
    ['Stir.\n\n Strain  it.'],
    ['<p>Stir.</p><div>Strain it.</div>'],
    ['<li>Stir.</li><li>Strain it.</li>'],
    ['Stir.<br>Strain it.'],
    ['Stir.<br />Strain it.'],
    [['Stir.', 'Strain it.']],
    [[{ '@type': 'HowToStep', text: 'Stir.' }, { name: 'Strain it.' }]],
    [[{ itemListElement: [{ text: 'Stir.' }] }, { steps: [{ text: 'Strain it.' }] }, 7, null]],
  ])('reads two steps from %j', (given) => {
    expect(sheetOf({ recipeInstructions: given })).toBe('A\n\n\nstep: Stir.\nstep: Strain it.');
    expect(sheetOf({ step: given })).toBe('A\n\n\nstep: Stir.\nstep: Strain it.');
  });
  it('goes twelve levels into steps and no deeper', () => {
    for (const key of ['text', 'steps', 'itemListElement']) {
      const deep = (levels: number) =>
        Array<number>(levels)
          .fill(0)
          .reduce<unknown>((inner) => ({ [key]: inner }), 'Stir.');
      expect(sheetOf({ recipeInstructions: deep(12) })).toContain('step: Stir.');
      expect(sheetOf({ recipeInstructions: deep(13) })).not.toContain('Stir');
    }
  });

  it.each([
    ['PT90M', 'note: takes 90 min in all'],
    ['PT2H', 'note: takes 2 h in all'],
    ['P1DT12H', 'note: takes 36 h in all'],
  ])('notes a time of %s where no step says one', (totalTime, note) =>
    expect(sheetOf({ totalTime, recipeInstructions: 'Stir.' })).toBe(`A\n\n\nstep: Stir.\n${note}`),
  );
  it.each([
    ['PT2H', 'Rest 2 hours.'],
    ['PT2H', 'Rest 2h.'],
    ['PT2H', 'Rest 90 min.\nStir.'],
    ['P2D', 'Rest 2 days.'],
    ['PT0M', 'Stir.'],
    ['two hours', 'Stir.'],
    [7, 'Stir.'],
  ])('notes no time of %s beside "%s"', (totalTime, recipeInstructions) =>
    expect(sheetOf({ totalTime, recipeInstructions })).not.toContain('note:'),
  );

  it('takes its own sheet back only where it is whole and of the same name', () => {
    const own = jsonLdOf(parseSheet('Saline\n20 g salt\n80 ml water').recipe);
    expect(sheetsOfJson(JSON.stringify({ ...own, name: 'Brine' }))[0]?.sheet).toBe('Brine\n\n20 g salt\n80 ml water');
    for (const text of [`${String(own['text'])}  `, ''])
      expect(sheetsOfJson(JSON.stringify({ ...own, text }))[0]?.sheet).toBe('Saline\n\n20 g salt\n80 ml water');
  });
});

describe('tables', () => {
  // RFC 4180: rows end CRLF; a cell with a quote, comma or line break is quoted, and quotes inside are doubled.
  it('writes a row a line and a step, the sheet first, and the columns by name', () => {
    const recipe: Recipe = {
      name: 'Saline',
      parts: [
        {
          name: 'pot',
          items: [
            { is: 'line', name: 'salt', quantity: { is: 'given', amount: 20, unit: 'g' }, note: 'very "fine"' },
            { is: 'line', name: 'water', quantity: { is: 'make-up-to', to: { amount: 100, unit: 'ml' } } },
            { is: 'step', text: 'stir', verb: 'stir' },
          ],
        },
        { name: null, items: [{ is: 'step', text: 'bottle', verb: 'bottle' }] },
      ],
    };
    const rows = csvOf([recipe]).split('\r\n');
    expect(rows[0]).toBe('recipe,part,amount,unit,name,note,text');
    expect(rows[1]?.startsWith('Saline,,,,,,"Saline\n')).toBe(true);
    expect(rows[2]?.startsWith('Saline,pot,20,g,salt,"very ""fine""",')).toBe(true);
    expect(rows.slice(3)).toEqual(['Saline,pot,,,water,,water to 100 ml', 'Saline,pot,,,,,stir', 'Saline,,,,,,bottle', '']);
  });
  it.each(['=', '+', '-', '@'])('takes the quote before a leading %s off again', (sign) =>
    expect(sheetsOfCsv(`recipe,name\n'${sign}A,salt`, 'x.csv')[0]?.name).toBe(`${sign}A`),
  );
  it('leaves every other quote', () =>
    expect(sheetsOfCsv("recipe,name\n'A,it'=s", 'x.csv')[0]).toEqual({ name: "'A", sheet: "'A\nit'=s" }));

  it.each([
    ['recipe', 'part', 'amount', 'unit', 'name', 'note', 'text'],
    ['Drink', 'Section', 'Quantity', 'Units', 'Ingredient', 'Notes', 'Step'],
    ['Recipe name', ' part ', 'Qty', 'unit', 'Item', 'Comment', 'Method'],
    ['recipe', 'part', 'amount', 'unit', 'name', 'note', 'Instruction'],
  ])('knows the columns %s, %s, %s, %s, %s, %s, %s', (...head) => {
    const table = `${head.join('\t')}\nBrine\tpot\t20\tg\tsalt\tfine\t\nBrine\tpot\t\t\twater\t\t\nBrine\tpot\t\t\t\t\tstir`;
    expect(sheetsOfCsv(table, 'x.csv')).toEqual([{ name: 'Brine', sheet: 'Brine\n[pot]\n20 g salt, fine\nwater\nstir' }]);
  });

  it('names a recipe by its file where no column does, and passes over empty rows and cells', () => {
    expect(sheetsOfCsv('name,amount\n salt ,\n , \npepper', 'my.brine.xlsx')).toEqual([
      { name: 'my.brine', sheet: 'my.brine\nsalt\npepper' },
    ]);
    expect(sheetsOfCsv('text\nstir\n""', 'brine')).toEqual([{ name: 'brine', sheet: 'brine\nstir' }]);
  });

  it('reads quoted cells: commas, doubled quotes and line breaks inside, a quote in the middle as it is, CRLF or not', () => {
    const cells = 'recipe,name,note\r\nA,"salt, ""fine""",\r\nA,6" sprig,"x"\r\n';
    expect(sheetsOfCsv(cells, 'x.csv')[0]?.sheet).toBe('A\nsalt, "fine"\n6" sprig, x');
    expect(sheetsOfCsv('recipe,name,text\nA,,"A\n20 g salt"', 'x.csv')).toEqual([{ name: 'A', sheet: 'A\n20 g salt' }]);
    expect(sheetsOfCsv('recipe,name,text\nA,salt,"one\ntwo"', 'x.csv')).toEqual([{ name: 'A', sheet: 'A\nsalt' }]);
  });

  it('takes 100 recipes and refuses 101, none, and columns that say nothing', () => {
    const many = (count: number) => `recipe,name\n${Array.from({ length: count }, (_, at) => `R${at},salt`).join('\n')}`;
    const refused = (text: string, code: string, message: string) =>
      expect(() => sheetsOfCsv(text, 'x.csv')).toThrow(expect.objectContaining({ code, message }));
    expect(sheetsOfCsv(many(100), 'x.csv')).toHaveLength(100);
    refused(many(101), 'recipes-too-many', 'That table holds 101 recipes. 100 at most: cut it up.');
    refused('recipe,name\n', 'csv-unreadable', 'There is no row under the first one in that table.');
    for (const text of ['a,b\n1,2', ''])
      refused(text, 'csv-unreadable', 'The first row must name the columns: recipe, part, amount, unit, name, note, text.');
  });
});

describe('several recipes in one text', () => {
  const BRINE = 'Brine\n20 g salt\n80 ml water';
  const SYRUP = 'Syrup\n100 g white sugar\n100 ml water';
  it.each([
    ['---', `${BRINE}\n---\n${SYRUP}`],
    ['a longer rule with spaces', `${BRINE}\n\n  -----  \n\n${SYRUP}`],
    ['===', `${BRINE}\n===\n${SYRUP}`],
    ['***', `${BRINE}\n***\n${SYRUP}`],
    ['line ends of another system', `${BRINE}\n---\n${SYRUP}`.replaceAll('\n', '\r\n')],
    ['line ends of an old one', `${BRINE}\n---\n${SYRUP}`.replaceAll('\n', '\r')],
    ['# headings', `# ${BRINE}\n\n# ${SYRUP}`],
    ['## headings', `##  ${BRINE}\n\n## ${SYRUP}`],
    ['an empty piece between', `\n${BRINE}\n---\n\n\n---\n${SYRUP}\n`],
  ])('parts them at %s', (_, text) =>
    expect(sheetsOfText(text)).toEqual([
      { name: 'Brine', sheet: BRINE },
      { name: 'Syrup', sheet: SYRUP },
    ]),
  );
  it('takes a text without any mark as one', () => expect(sheetsOfText(` ${BRINE} `)).toEqual([{ name: 'Brine', sheet: BRINE }]));
  it('takes 100 and refuses 101', () => {
    const many = (count: number) => Array.from({ length: count }, (_, at) => `R${at}\n20 g salt`).join('\n---\n');
    expect(sheetsOfText(many(100))).toHaveLength(100);
    expect(() => sheetsOfText(many(101))).toThrow(
      expect.objectContaining({ code: 'recipes-too-many', message: 'That text holds 101 recipes. 100 at most: cut it up.' }),
    );
  });
});
