import { remembered } from './remembered.ts';
import { fold } from './unit-words.ts';

/**
 * What sort of thing a name means, as far as reading an amount needs it: whether its ounce is
 * one of weight, and whether a per cent sign is strength or acid. The last telling word decides:
 * milk chocolate is solid, chocolate liqueur a spirit. House rule, common practice, no source.
 */
export type NameKind = 'spirit' | 'vinegar' | 'acid' | 'liquid' | 'solid' | 'other';

const LISTS: Readonly<Record<Exclude<NameKind, 'other'>, string>> = {
  spirit:
    'gin rum ron rhum vodka wodka whisky whiskey bourbon rye scotch brandy cognac armagnac calvados applejack tequila mezcal pisco cachaca grappa eau-de-vie aquavit akvavit absinthe pastis anisette ouzo arak raki sake soju shochu baijiu genever jenever kirsch slivovitz liqueur liquor licor liqueurs likor liquore vermouth vermut wermut sherry port porto madeira marsala wine vino vin wein vinho prosecco cava champagne cremant aperitif aperitivo amaro bitter bitters amer curacao triple cordial-liqueur falernum schnapps spirit spirits alcohol amaretto limoncello maraschino cassis kummel quinquina lillet-style mistelle fortified beer ale stout lager cider sidra tincture overproof navy',
  vinegar: 'vinegar vinagre vinaigre aceto essig verjus verjuice kombucha',
  acid: 'acid acids citric malic tartaric lactic acetic ascorbic',
  liquid:
    'simple juice juices jugo zumo jus succo saft sumo suco syrup syrups sirup sirop jarabe sciroppo xarope cordial shrub water agua eau acqua wasser soda tonic cola lemonade milk leche lait latte milch leite cream nata creme panna sahne natas half-and-half buttermilk kefir whey brine stock broth consomme tea coffee espresso honey miel miele honig mel molasses treacle agave nectar oil aceite huile olio ol oleo orgeat grenadine puree coulis saline solution sauce soy extract essence hydrosol mix sour foamer aquafaba punch base cold-brew brew infusion ferment kvass sherbet oleo-saccharum concentrate ginger-beer ginger-ale beer-ginger distillate',
  solid:
    'sugar sugars azucar sucre zucchero zucker acucar salt sal sel sale salz butter mantequilla beurre burro manteiga cheese queso fromage formaggio kase queijo curd ricotta flour harina farine farina mehl chocolate chocolat cioccolato schokolade cocoa cacao nibs almond almonds almendras nuts nut walnuts pecans hazelnuts pistachios cashews peanuts peanut coconut raisins currants dates figs prunes apricots berries berry raspberries strawberries blueberries blackberries cranberries cherries cherry damsons plums peaches pears pear apple apples quince rhubarb pineapple mango banana bananas grapes melon watermelon cucumber celery carrot carrots beet beets beetroot tomato tomatoes onion onions shallots garlic ginger galangal turmeric horseradish root leaves mint basil cilantro coriander parsley thyme rosemary sage dill tarragon lemongrass herbs herb petals flowers blossoms hibiscus lavender chamomile spice spices cinnamon cloves cardamom peppercorns pepper chile chiles chili chilli chillies jalapeno jalapenos vanilla saffron tea-leaves grounds beans bean lentils rice oats barley wheat pasta noodles bread crumbs breadcrumbs crackers beef pork lamb chicken turkey veal bacon ham prosciutto pancetta sausage chorizo steak fish salmon tuna cod shrimp prawns crab lobster scallops mussels clams anchovies meat fat lard spinach kale arugula lettuce greens cabbage cauliflower broccoli mushrooms mushroom potatoes potato squash pumpkin zucchini eggplant asparagus peas corn tofu tempeh peel peels zest husks husk pulp pomace skins skin seeds seed powder agar gelatin pectin yeast wax ice candy marshmallows cookies biscuits jam marmalade paste mozzarella parmesan cheddar feta gruyere mascarpone yogurt yoghurt labneh',
};

const kindByWord = new Map<string, NameKind>();
for (const [kind, list] of Object.entries(LISTS)) for (const word of list.split(' ')) kindByWord.set(word, kind as NameKind);

/** The kind of the last telling word of a name. */
export const kindOfName = remembered((name: string): NameKind => lastKind(name));

function lastKind(name: string): NameKind {
  const head = fold(name.slice(0, 200)).split(/\b(?:for|from|in|with|without)\b/u)[0] ?? '';
  // "crème de cacao" is no cocoa, "cream of coconut" no coconut.
  const made =
    /\b(creme|cream|milk|leche|lait|latte|juice|jus|zumo|jugo|succo|syrup|sirop|jarabe|sciroppo|xarope|oil|huile|aceite|olio|liqueur|licor|liquore|vinaigre|vinagre|aceto) (?:de |of |di |d')(?!tart|fraiche)/u.exec(
      head,
    );
  if (made !== null)
    return made[1] === 'creme' && !/\bcreme de (?:coco|marrons?|leite|soja)\b/u.test(head)
      ? 'spirit'
      : (kindByWord.get(made[1] ?? '') ?? 'liquid');
  const words = head.split(/[^\p{L}\p{N}-]+/u);
  for (let i = words.length - 1; i >= 0; i--) {
    const word = words[i] ?? '';
    const kind =
      kindByWord.get(word) ??
      kindByWord.get(word.replace(/s$/u, '')) ??
      (word.includes('-') ? kindByWord.get(word.slice(word.lastIndexOf('-') + 1)) : undefined);
    if (kind !== undefined) return kind;
  }
  return 'other';
}
