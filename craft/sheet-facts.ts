/** What a sheet says of the whole: makes, serves, keeps, use by, glass, ice, garnish, notes. */
import { scanAmount } from './amount.ts';
import type { Amount, Conventions } from './recipe.ts';
import { placeOf } from './step-places.ts';
import { findTimes } from './step-times.ts';
import { fold } from './unit-words.ts';

const MAKES =
  /^(?:(?:it |this )?(?:makes?|yields?|gives?)|yield|yi?e?ld|expect(?:ed)?(?: yield)?|batch(?: size)?|makes\/yield|total|produces?|rendement|for (?:a )?batch of|rinde|rendimiento|para hacer|pour obtenir|donne|resa|ergibt|rende|rendimento|(?:for|pour|per|para|für)(?= \d))\s*(?::|-|–|=|of|about)?\s*(?:just |a )?(?=\S)/iu;

const SERVES =
  /^(?:serves?|servings?|portions?|pax|covers|raciones|porciones|personnes|persone|portionen|por[çc][õo]es|doses)\s*(?::|-|=)?\s*(?:about\s+|~)?(\d{1,6}(?:\.\d{1,20})?)(?:\s*(?:-|–|to)\s*\d{1,4})?\s*(?:people|guests|pax|drinks|serves|servings|portions)?\.?$/iu;

const SERVED =
  /^(?:about\s+|~)?(\d{1,4})\s*(?:drinks|serves|servings|portions|cocktails|covers|pax|glasses|people|raciones|personas|personnes|persone|portionen|personen|por[çc][õo]es|pessoas)\.?$/iu;

const KEEPS =
  /^(?:keeps?(?: for)?|shelf[- ]?life|shelf(?= \d+ ?(?:d|w|m)\p{L}*)|refrigeraci[óo]n|lasts?(?: for)?|good for|best (?:before|within|in)|holds(?: for)?|hold(?= \d+ ?(?:w|mo))|(?:it |they |this )?(?:will |should )?keep(?: well)? for|life|conserva(?:r|ci[óo]n)?|se conserva|se conserve(?:nt)?|conservation|si conserva|h[äa]lt(?:bar)?|haltbar(?:keit)?|validade|conserva-se|se garde(?:nt)?|[àa] conserver|conserver(?= \d+ ?(?:jours?|semaines?|mois))|tient(?= \d)|(?:se |si )?mantiene(?= \d)|aguanta|aguenta|si conservano|dura(?:no)?)\s*(?::|-|–)?\s*(?:about\s+|up to\s+|for\s+|~|ca\.?\s+)?(?=\S)/iu;

const USE_BY = /^use[- ]by\s*:?\s*(?:day|d)\s*(\d{1,3})\.?$/iu;

const USE_WITHIN = /^(?:use (?:within|in|by)|discard after|bin after)\s*:?\s*(\d{1,3})\s*(?:days?|d)\.?$/iu;

const LABELLED =
  /^(glass(?:ware)?|ice|garnish(?:es)?|notes?|nb|n\.b\.|warning|caution|careful|allergens?|label|equipment|kit|recipe|name|title|step|technique|served?|vaso|copa|verre|glas|bicchiere|copo|hielo|glace|ghiaccio|eis|gelo|decoraci[óo]n|d[ée]cor(?:ation)?|guarnizione|garnitur|deko|decora[çc][ãa]o|nota|hinweis|tip|method|m[ée]todo|zubereitung)\s*(?::|\s[-–—]\s)\s*(?=\S)/iu;

const LABELS: Readonly<Record<string, 'glass' | 'ice' | 'garnish' | 'note' | 'title' | 'step' | 'method'>> = {
  glass: 'glass',
  glassware: 'glass',
  vaso: 'glass',
  copa: 'glass',
  verre: 'glass',
  glas: 'glass',
  bicchiere: 'glass',
  copo: 'glass',
  ice: 'ice',
  hielo: 'ice',
  glace: 'ice',
  ghiaccio: 'ice',
  eis: 'ice',
  gelo: 'ice',
  garnish: 'garnish',
  garnishes: 'garnish',
  decoracion: 'garnish',
  decor: 'garnish',
  decoration: 'garnish',
  guarnizione: 'garnish',
  garnitur: 'garnish',
  deko: 'garnish',
  decoracao: 'garnish',
  recipe: 'title',
  name: 'title',
  title: 'title',
  step: 'step',
  method: 'method',
  technique: 'method',
  metodo: 'method',
  zubereitung: 'method',
};

const NOTE_SAID =
  /^(?:(?:prep|total|active|hands[- ]on|cook(?:ing)?|lead|working) time\b|(?:cost|price|gp|abv|alc(?:ohol)?|strength|version|date|made on|updated|author|by|made by|tested|par|station|tools?|equipment|category|type|style|tags?|source|ref|code|sku|level|difficulty|team|owner|who|contact|menu|used in|goes in|for drinks?)\s*[:=]\s|abv\b|.*\b(?:once|after being|when) open(?:ed)?\.?$|.*\bafter opening\.?$|contains?:?\s+(?!\d)|allergens?\b|may contain\b|do not|don['’]t|never|no need|nb\b|n\.b\.|careful\b|warning\b|caution\b|(?:(?:gluten|milk|dairy|nuts?|eggs?|soya?|sulphites?|sulfites?|sesame|fish|peanuts?|almonds?)[\s,&+/]*(?:and )?)+$|attention\b|important\b|remember\b|!|\*(?!\s)|\(.*\)$)/iu;

const GLASS_NAME =
  /^(?:(?:small|large|chilled|tall|frozen|cold|double|short|stemmed)\s+)?(?:coupe|coupette|rocks|double rocks|old[- ]fashioned|highball|collins|nick (?:&|and) nora|martini|flute|tumbler|wine|tiki|hurricane|sling|copa|balloon|julep(?: cup| tin))(?: glass| mug)?\.?$/iu;

export const BLANK_FILL = /_{3,}|\.{6,}/u;

export function isNoteText(text: string): boolean {
  return NOTE_SAID.test(text) && /[\p{L}\p{N}]/u.test(text);
}

export type Meta =
  | { readonly is: 'makes'; readonly makes: Amount; readonly guess?: string }
  | { readonly is: 'serves'; readonly serves: number }
  | { readonly is: 'keeps'; readonly days: number; readonly place?: string; readonly rest?: string }
  | { readonly is: 'use-by'; readonly day: number; readonly guess?: string }
  | { readonly is: 'glass' | 'ice' | 'garnish' | 'note' | 'title' | 'step' | 'method'; readonly text: string }
  | { readonly is: 'bad'; readonly word: string; readonly try: string };

/** makes, serves, keeps, use by, glass, ice, garnish, note: or null. */
export function metaOf(text: string, conventions: Conventions): Meta | null {
  const useBy = USE_BY.exec(text);
  if (useBy !== null)
    return Number(useBy[1]) > 0 ? { is: 'use-by', day: Number(useBy[1]) } : { is: 'bad', word: 'day 0', try: 'use by: day 4' };
  const within = USE_WITHIN.exec(text);
  if (within !== null && Number(within[1]) > 0)
    return { is: 'use-by', day: Number(within[1]), guess: `read as use by: day ${Number(within[1])}, the day made being day 1` };
  const serves = SERVES.exec(text) ?? SERVED.exec(text);
  if (serves !== null && Number(serves[1]) > 0) return { is: 'serves', serves: Number(serves[1]) };
  const makes = MAKES.exec(text);
  if (makes !== null) {
    const rest = text.slice(makes[0].length).replace(/\.$/u, '').trim();
    const drinks = SERVED.exec(rest);
    if (drinks !== null && Number(drinks[1]) > 0) return { is: 'serves', serves: Number(drinks[1]) };
    const found = scanAmount(rest, 0, conventions);
    if (found !== null && found.amount > 0) {
      const tail = rest
        .slice(found.end)
        .replace(
          /^\s*(?:of\s+\S.*|in all|total|finished|in total|bottled|\(.*\)|ish|or so|approx\.?|each|aprox\.?|environ|circa|ca\.?|abt|balls|pieces|crackers|truffles|cubes|pucks)?\s*$/iu,
          '',
        );
      // "Yld 2.1": nobody counts in tenths; it is litres.
      if (found.unit === null && rest.slice(found.end).trim() === '' && !Number.isInteger(found.amount) && found.amount < 30) {
        return { is: 'makes', makes: { amount: found.amount, unit: 'l' }, guess: `${found.amount} without a unit read as l` };
      }
      // "Yield 640": nobody counts that many; it is ml.
      if (found.unit === null && rest.slice(found.end).trim() === '' && found.amount >= 100) {
        return { is: 'makes', makes: { amount: found.amount, unit: 'ml' }, guess: `${found.amount} without a unit read as ml` };
      }
      if (tail === '' || /^\s*[,(]/u.test(tail)) {
        return {
          is: 'makes',
          makes: {
            amount: found.amount,
            ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }),
            unit: found.unit ?? 'piece',
          },
          ...(found.guesses[0] === undefined ? {} : { guess: found.guesses[0] }),
        };
      }
      if (found.unit === null && /^\s+\p{L}[\p{L} -]{1,30}$/u.test(tail)) {
        return {
          is: 'makes',
          makes: { amount: found.amount, ...(found.amountHigh === undefined ? {} : { amountHigh: found.amountHigh }), unit: 'piece' },
        };
      }
    }
    if (/^(?:it |this )?(?:makes|yields?)\b/iu.test(text) && text.split(' ').length <= 4)
      return { is: 'bad', word: rest, try: 'makes 800 ml' };
  }
  const storage = /^(?:storage|store|stored|expiry|expires|exp|shelf|life|hold|keep)\s*[:=]\s*(?=\S)/iu.exec(text);
  if (storage !== null) {
    const alone = keptAlone(text.slice(storage[0].length));
    return alone === null ? { is: 'note', text } : { is: 'keeps', ...alone };
  }
  const stored =
    /^(?:store|refrigerate|keep (?:refrigerated|chilled|cold|frozen|airtight|in|at))\b[^.;\d]{0,50}?(?:\bfor\b|\bup to\b|,|\s)\s*(?:about |up to )?(?=\d|a )/iu.exec(
      text,
    );
  if (stored !== null) {
    const time = findTimes(text)[0];
    if (time !== undefined && time.lowMin >= 2880 && time.start <= stored[0].length + 2) {
      const place = placeOf(text) ?? (/^refrigerate|chilled|cold|refrigerated/iu.test(text) ? 'fridge' : undefined);
      return { is: 'keeps', days: Math.round((time.lowMin / 1440) * 1e6) / 1e6, ...(place === undefined ? {} : { place }), rest: text };
    }
  }
  const glass = GLASS_NAME.exec(text);
  if (glass !== null) return { is: 'glass', text: text.replace(/\.$/u, '') };
  // "2 Wochen im Kühlschrank haltbar"
  const lasting = /\S\s+haltbar\b/iu.test(text) && text.split(' ').length <= 7 ? findTimes(text)[0] : undefined;
  if (lasting !== undefined && lasting.lowMin >= 1440) {
    const where = placeOf(text);
    return { is: 'keeps', days: Math.round((lasting.lowMin / 1440) * 1e6) / 1e6, ...(where === undefined ? {} : { place: where }) };
  }
  const keeps = KEEPS.exec(text);
  if (keeps !== null) {
    const rest = text.slice(keeps[0].length);
    const time = findTimes(rest)[0];
    if (time !== undefined && time.start <= 12 && time.lowMin > 0) {
      const days = Math.round((time.lowMin / 1440) * 1e6) / 1e6;
      const tail = rest
        .slice(time.end)
        .replace(/^[\s,;]+/u, '')
        .replace(/\.$/u, '')
        .trim();
      const after = keptPlace(tail);
      const ahead = after.place === undefined ? placeOf(rest.slice(0, time.start)) : undefined;
      const place = ahead === undefined ? after : { ...after, place: ahead };
      return {
        is: 'keeps',
        days,
        ...(place.place === undefined ? {} : { place: place.place }),
        ...(place.rest === undefined ? {} : { rest: place.rest }),
      };
    }
    if (/^keeps\b/iu.test(text)) return { is: 'bad', word: rest.slice(0, 30), try: 'keeps 30 days in the fridge' };
  }
  const labelled = LABELLED.exec(text);
  if (labelled !== null) {
    const label = LABELS[fold(labelled[1] ?? '')] ?? 'note';
    const body = text.slice(labelled[0].length).trim();
    // "ice: 200 g" is a line; "lime - ..." never gets here.
    if (label === 'note' && !/^(?:notes?|nb|n\.b\.|nota|hinweis)/iu.test(labelled[1] ?? '')) return { is: 'note', text };
    return { is: label, text: body };
  }
  const garnish = /^garnish(?:ed)?\s+(?:with\s+)?(?=\S)/iu.exec(text);
  if (garnish !== null && !/\d+ ?(?:h|min|days?)\b/iu.test(text))
    return { is: 'garnish', text: text.slice(garnish[0].length).replace(/\.$/u, '') };
  return null;
}

/** A time of a day or more and nothing else but a place: "6 mo RT", "fridge 10 days", "3 months cold". */
export function keptAlone(typed: string): { days: number; place?: string } | null {
  const text = typed.replace(/[.!]$/u, '').trim();
  const time = findTimes(text)[0];
  if (time === undefined || time.overnight || time.lowMin < 1440) return null;
  const rest = `${text.slice(0, time.start)} ${text.slice(time.end)}`
    .replace(/[\s,.;:-]+/gu, ' ')
    .replace(/^ ?(?:for|up to|about|max) /iu, '')
    .replace(/ ?\b(?:only|max|tops|at most|up to|for|about)\s*$/iu, '')
    .trim();
  const days = Math.round((time.lowMin / 1440) * 1e6) / 1e6;
  if (rest === '') return { days };
  if (/^(?:in the |in )?(?:cold|chilled|refrigerated|frg?|frdg|fdg)$/iu.test(rest)) return { days, place: 'fridge' };
  const place = placeOf(rest) ?? placeOf(`in ${rest}`);
  const only = place !== undefined && rest.toLowerCase().replace(/^(?:in|at|on) (?:the )?/u, '').length <= place.length + 1;
  return place !== undefined && (only || /^RT$/u.test(rest)) ? { days, place } : null;
}

/** The place after `keeps 30 days`, and what else was said there. */
function keptPlace(tail: string): { place?: string; rest?: string } {
  if (tail === '') return {};
  const place = placeOf(tail) ?? placeOf(`in ${tail}`);
  if (place !== undefined) {
    const rest = tail
      .replace(/^(?:in|at|on)\s+(?:the\s+|a\s+)?/iu, '')
      .replace(new RegExp(place.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'), 'iu'), '')
      .replace(/^[\s,;]+|[\s,;.]+$/gu, '');
    return rest === '' || /^(?:en|au|im|in|no|na)\b/iu.test(rest) ? { place } : { place, rest: tail };
  }
  const quoted = /^"([^"]*)"$/u.exec(tail);
  if (quoted !== null) return { place: quoted[1] ?? '' };
  const plain = /^(?:in|at|on)?\s*(?:the\s+)?([\p{L}][\p{L}\d -]{1,30})$/iu.exec(tail);
  if (plain !== null && /^(?:cold|chilled|refrigerated|frozen)$/iu.test(plain[1] ?? ''))
    return { place: /frozen/iu.test(tail) ? 'freezer' : 'fridge' };
  if (plain !== null && /^(?:in|at|on)\s/iu.test(tail)) return { place: (plain[1] ?? '').trim().toLowerCase() };
  return { rest: tail };
}
