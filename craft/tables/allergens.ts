/**
 * What has to be declared: the fourteen of the European Union (and the United Kingdom), the nine of the United States,
 * and sulphites above 10 mg/l in both. Sources: Regulation (EU) 1169/2011 Annex II; FALCPA 2004 and the FASTER Act 2021;
 * 21 CFR 101.100(a)(4) and 27 CFR 4.32(e) for sulphites in the United States (from memory).
 */

/** The Union's fourteen, by the short names that are shown. */
export const EU_ALLERGENS = [
  'gluten',
  'crustaceans',
  'eggs',
  'fish',
  'peanuts',
  'soybeans',
  'milk',
  'nuts',
  'celery',
  'mustard',
  'sesame',
  'sulphites',
  'lupin',
  'molluscs',
] as const;
export type EuAllergen = (typeof EU_ALLERGENS)[number];

/** The nine of the United States, and sulfites, which are declared there too. */
export const US_ALLERGENS = [
  'milk',
  'eggs',
  'fish',
  'Crustacean shellfish',
  'tree nuts',
  'peanuts',
  'wheat',
  'soybeans',
  'sesame',
  'sulfites',
] as const;
export type UsAllergen = (typeof US_ALLERGENS)[number];

/**
 * What a good bears, fine enough for both lists: wheat is gluten in one and wheat in the other, barley is gluten in one
 * and nothing in the other, a pine nut is a tree nut only in the United States.
 */
export const ALLERGENS = {
  wheat: { eu: 'gluten', us: 'wheat' },
  gluten: { eu: 'gluten', us: null },
  crustaceans: { eu: 'crustaceans', us: 'Crustacean shellfish' },
  eggs: { eu: 'eggs', us: 'eggs' },
  fish: { eu: 'fish', us: 'fish' },
  peanuts: { eu: 'peanuts', us: 'peanuts' },
  soybeans: { eu: 'soybeans', us: 'soybeans' },
  milk: { eu: 'milk', us: 'milk' },
  nuts: { eu: 'nuts', us: 'tree nuts' },
  'us tree nuts': { eu: null, us: 'tree nuts' },
  celery: { eu: 'celery', us: null },
  mustard: { eu: 'mustard', us: null },
  sesame: { eu: 'sesame', us: 'sesame' },
  sulphites: { eu: 'sulphites', us: 'sulfites' },
  lupin: { eu: 'lupin', us: null },
  molluscs: { eu: 'molluscs', us: null },
} as const satisfies Record<string, { eu: EuAllergen | null; us: UsAllergen | null }>;
export type Allergen = keyof typeof ALLERGENS;

/** mg/l of total sulphur dioxide above which sulphites are declared; exactly 10 is not above. */
export const SULPHITES_MG_PER_L = 10;

/**
 * Words in a typed name that give an allergen away, whatever else the thing is: "hazelnut-washed rum", "crab bisque".
 * Comma between entries, singular, whole words; of two that overlap the longer counts, so that cocoa butter is no milk.
 * `null`: looks like an allergen and is none. Kinds as the two lists name them; the rest is trade knowledge, from memory.
 */
export const ALLERGEN_WORDS: readonly (readonly [entries: string, allergens: readonly Allergen[] | null])[] = [
  [
    'wheat, wheatgrass, spelt, kamut, khorasan, emmer, einkorn, durum, semolina, couscous, bulgur, seitan, freekeh, triticale, farina',
    ['wheat'],
  ],
  ['flour, bread, sourdough, toast, brioche, croissant, biscuit, cookie, shortbread, cracker, pastry, cake, brownie, pizza', ['wheat']],
  ['pasta, noodle, breadcrumb, panko, pretzel, wafer, waffle, pita, tortilla, baguette, matzo, crouton, udon, ramen, doughnut', ['wheat']],
  ['wheat beer, hefeweizen, witbier, weissbier, ice cream cone', ['wheat']],
  ['soy sauce, shoyu, teriyaki', ['wheat', 'soybeans']],
  ['barley, rye, malt, malted, oat, oatmeal, granola, muesli, kvass, beer, lager, ale, stout, porter, pilsner, saison, ipa', ['gluten']],
  ['barley wine, rye bread, pumpernickel, oat milk, oat cream, malt vinegar, malt extract, barley tea, barley miso', ['gluten']],
  ['rice flour, chickpea flour, gram flour, corn flour, cornflour, potato flour, coconut flour, tapioca flour, chestnut flour', null],
  ['buckwheat flour, cassava flour, rice noodle, glass noodle, rice cracker, rice cake, corn tortilla, press cake, sugar cake', null],
  ['ginger beer, root beer, ginger ale, barley sugar, barley shochu', null],
  ['wheat glucose syrup, wheat dextrose, wheat maltodextrin, barley glucose syrup, glucose syrup, dextrose, maltodextrin', null],
  ['prawn, shrimp, crab, lobster, crayfish, crawfish, langoustine, krill, scampi, chitosan, barnacle', ['crustaceans']],
  ['fish, anchovy, tuna, cod, salmon, bonito, katsuobushi, dashi, isinglass, caviar, roe, sardine, mackerel, trout, haddock', ['fish']],
  ['garum, herring, eel, bottarga, worcestershire, worcestershire sauce, worcester sauce, colatura, surimi', ['fish']],
  [
    'oyster, mussel, clam, squid, octopus, scallop, snail, cuttlefish, whelk, abalone, cockle, winkle, limpet, conch, escargot',
    ['molluscs'],
  ],
  ['oyster mushroom, king oyster mushroom, oyster leaf, oyster plant, oyster cracker, fish mint, fish pepper', null],
  ['oyster cracker', ['wheat']],
  ['shellfish', ['crustaceans', 'molluscs']],
  ['egg, meringue, mayonnaise, aioli, albumen, eggnog, advocaat, lysozyme, zabaglione, sabayon, custard, hollandaise', ['eggs']],
  ['eggplant, egg plant, eggfruit', null],
  ['milk, whey, curd, cheese, ricotta, butter, cream, yogurt, yoghurt, buttermilk, ghee, casein, caseinate, lactose, kefir', ['milk']],
  [
    'mascarpone, labneh, quark, skyr, feta, paneer, mozzarella, parmesan, cheddar, brie, camembert, burrata, stracciatella, halloumi',
    ['milk'],
  ],
  ['gruyere, gorgonzola, stilton, dairy, fromage blanc, creme fraiche, half and half, dulce de leche, custard, gelato, latte', ['milk']],
  ['toffee, butterscotch, fudge, panna cotta, white chocolate, milk chocolate, ice cream, tres leches, crema, malted milk', ['milk']],
  ['coconut milk, coconut cream, cream of coconut, coconut butter, coconut yoghurt, coconut yogurt, cocoa butter, cacao butter', null],
  ['shea butter, apple butter, pear butter, plum butter, mango butter, pumpkin butter, fruit butter, rice milk, rice cream', null],
  ['hemp milk, pea milk, potato milk, cream of tartar, cream sherry, cream soda, butter bean, butter lettuce, milk thistle', null],
  ['butterfly pea, butternut squash, milk cap, cream ale, lemon curd free', null],
  ['cream ale', ['gluten']],
  ['lemon curd, lime curd, orange curd, fruit curd', ['eggs', 'milk']],
  ['almond, hazelnut, filbert, walnut, cashew, pecan, pistachio, macadamia, frangipane, marzipan, praline, gianduja, orgeat', ['nuts']],
  ['nut, brazil nut, queensland nut, nut milk, nut butter, nut cream, nut cheese, nougat, nocino', ['nuts']],
  [
    ['almond', 'hazelnut', 'walnut', 'cashew', 'pecan', 'pistachio', 'macadamia']
      .flatMap((nut) => ['milk', 'butter', 'cream', 'cheese', 'yoghurt', 'yogurt', 'flour', 'whey', 'curd'].map((as) => `${nut} ${as}`))
      .join(', '),
    ['nuts'],
  ],
  ['pine nut, pinenut, pinon, pignoli', ['us tree nuts']],
  ['peanut, groundnut, monkey nut, beer nut, peanut butter, peanut milk, peanut oil, arachis oil, satay', ['peanuts']],
  ['coconut, nutmeg, tiger nut, tigernut, water chestnut, chestnut, horse chestnut, kola nut, cola nut, betel nut, areca nut', null],
  ['doughnut peach, tiger nut milk', null],
  ['soy, soya, soybean, tofu, tempeh, edamame, miso, natto, tamari', ['soybeans']],
  [
    ['soy', 'soya']
      .flatMap((bean) => ['milk', 'cream', 'butter', 'cheese', 'yoghurt', 'yogurt', 'curd'].map((as) => `${bean} ${as}`))
      .join(', '),
    ['soybeans'],
  ],
  ['bean curd', ['soybeans']],
  ['refined soy oil, refined soya oil, fully refined soy oil, fully refined soya oil', null],
  ['sesame, tahini, halva, gomasio, furikake, za atar, zaatar, sesame milk, sesame butter, hummus', ['sesame']],
  ['celery, celeriac', ['celery']],
  ['mustard', ['mustard']],
  ['lupin, lupine, lupini', ['lupin']],
  ['lupin flour', ['lupin']],
  [
    'wine, vermouth, sherry, port, madeira, marsala, prosecco, cava, champagne, sekt, cremant, quinquina, lambrusco, moscato',
    ['sulphites'],
  ],
  [
    'fino, amontillado, oloroso, manzanilla, pedro ximenez, sangria, sulphite, sulfite, metabisulphite, metabisulfite, sulphured, sulfured',
    ['sulphites'],
  ],
  [
    'wine glass, rice wine, plum wine, honey wine, palm wine, ginger wine, wine yeast, wine brandy, port cask, sherry cask, wine cask',
    null,
  ],
];

/** Distillates are exempt where these were what was distilled; a wash, an infusion or a maceration afterwards is not. */
export const DISTILLED_FROM: readonly Allergen[] = ['wheat', 'gluten', 'milk', 'nuts', 'us tree nuts'];
