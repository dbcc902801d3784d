/** A record of the exchange text: tag, required or not, and the longest line without its line end. */
export interface RecordRule {
  tag: string;
  isRequired: boolean;
  longest: number;
}

/**
 * Records before the first frequency, in order.
 * Source: NSMA WG16.99.050 (20 May 1999), TIA-804-B: names, order, required ones and lengths as in the table of a public
 * data checker.
 */
export const HEADER_RECORDS: readonly RecordRule[] = parseRules(
  "REVNUM! 42 REVDAT! 16 COMNT1 80 COMNT2 80 ANTMAN! 42 MODNUM! 42 PATNUM 42 FILNUM 13 FEDORN 13 DESCR1 80 DESCR2 80 DESCR3 80",
  "DESCR4 80 DESCR5 80 DTDATA 16 LOWFRQ! 21 HGHFRQ! 21 GUNITS! 15 LWGAIN 12 MDGAIN! 16 HGGAIN 12 AZWIDT 16 ELWIDT 16",
  "CONTYP 80 ATVSWR 13 FRTOBA 10 ELTILT! 16 RADCTR 13 POTOPO 12 MAXPOW 17 ANTLEN 14 ANTWID 14 ANTDEP 14 ANTWGT 16",
  "FIELD1 80 FIELD2 80 FIELD3 80 FIELD4 80 FIELD5 80 PATTYP! 16 NOFREQ! 10",
);

/** Records before each frequency's cuts, and before each cut's points. */
export const FREQUENCY_RECORDS: readonly RecordRule[] = parseRules("PATFRE! 21 NUMCUT! 11");
export const CUT_RECORDS: readonly RecordRule[] = parseRules(
  "PATCUT! 11 POLARI! 15 NUPOIN! 13 FSTLST! 25 XORIEN 53 YORIEN 53 ZORIEN 53",
);
export const END_RECORDS: readonly RecordRule[] = parseRules("ENDFIL! 11");
export const LONGEST_POINT = 28;

/** Parses "TAG! length" for a required record and "TAG length" for an optional one. */
function parseRules(...lists: string[]): RecordRule[] {
  const words = lists.join(" ").split(" ");
  return Array.from({ length: words.length / 2 }, (_, index) => {
    const [tag, longest] = [words[2 * index], Number(words[2 * index + 1])];
    return { tag: tag.replace("!", ""), isRequired: tag.endsWith("!"), longest };
  });
}
