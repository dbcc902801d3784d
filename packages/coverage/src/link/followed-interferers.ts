/** Interferers whose being on or off is followed one by one; the rest count with their mean power. */
export const FOLLOWED_INTERFERERS = 4;

/** The strongest interferers that come and go, the strongest first; room for FOLLOWED_INTERFERERS. */
export interface FollowedInterferers {
  /** Level while on, mW. */
  onMw: Float64Array;
  /** Share of the time that each is on. */
  onShare: Float64Array;
  /** 1 for those of the server's own site, which fall with the signal. */
  isOwnSite: Uint8Array;
  /** Spread of each, dB. */
  sigmaDb: Float64Array;
  count: number;
}

export function createFollowed(): FollowedInterferers {
  return {
    onMw: new Float64Array(FOLLOWED_INTERFERERS),
    onShare: new Float64Array(FOLLOWED_INTERFERERS),
    isOwnSite: new Uint8Array(FOLLOWED_INTERFERERS),
    sigmaDb: new Float64Array(FOLLOWED_INTERFERERS),
    count: 0,
  };
}

/** An interferer that comes and goes, at one port of the CPE. */
export interface Interferer {
  onMw: number;
  onShare: number;
  isOwnSite: boolean;
  sigmaDb: number;
}

/** Takes an interferer among the followed where it is one of the strongest; of equal levels the first stays first. */
export function followInterferer(followed: FollowedInterferers, interferer: Interferer): void {
  const { onMw } = followed;
  let place = followed.count < FOLLOWED_INTERFERERS ? followed.count++ : FOLLOWED_INTERFERERS;
  while (place > 0 && interferer.onMw > onMw[place - 1]) {
    if (place < FOLLOWED_INTERFERERS) moveDown(followed, place);
    place--;
  }
  if (place === FOLLOWED_INTERFERERS) return;
  onMw[place] = interferer.onMw;
  followed.onShare[place] = interferer.onShare;
  followed.isOwnSite[place] = interferer.isOwnSite ? 1 : 0;
  followed.sigmaDb[place] = interferer.sigmaDb;
}

function moveDown({ onMw, onShare, isOwnSite, sigmaDb }: FollowedInterferers, place: number): void {
  onMw[place] = onMw[place - 1];
  onShare[place] = onShare[place - 1];
  isOwnSite[place] = isOwnSite[place - 1];
  sigmaDb[place] = sigmaDb[place - 1];
}

/** Mean power of those followed, mW: of the server's own site, or of all others. */
export function sumFollowedMw({ onMw, onShare, isOwnSite, count }: FollowedInterferers, ofOwnSite: 0 | 1): number {
  let sum = 0;
  for (let index = 0; index < count; index++) {
    if (isOwnSite[index] === ofOwnSite) sum += onMw[index] * onShare[index];
  }
  return sum;
}
