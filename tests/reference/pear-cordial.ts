/** A whole sheet, invented: two pots side by side, then one. */
export const PEAR_CORDIAL = `Pear and cider-vinegar cordial
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
