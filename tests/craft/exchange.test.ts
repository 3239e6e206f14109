import { describe, expect, it } from 'vitest';
import { csvOf, jsonLdOf, sheetsOfCsv, sheetsOfJson, sheetsOfText } from '../../craft/exchange.ts';
import { Refusal } from '../../craft/refusal.ts';
import { parseSheet, printSheet } from '../../craft/sheet.ts';

const CORDIAL = `Pear and cider-vinegar cordial
makes about 800 ml

[peel]
180 g pear peel and cores
300 ml cider vinegar 5%
rest 24 h (12-48 h) at room temp
strain, bin the solids

[pears]
600 g pears, peeled, grated
400 g white sugar
rest 24 h (18-36 h) in the fridge, stir once
strain, keep about 350 g pear pulp

mix peel and pears
rest 2 days (1-7 days) in the fridge
bottle
keeps 30 days in the fridge`;
const cordial = parseSheet(CORDIAL).recipe;

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
