/** Whole percents; no prediction is certain, so none is 100. */
export function formatPercent(share: number): string {
  return `${Math.min(99, Math.round(100 * share))} %`;
}

/** Tenths below 10 m where there are any, else whole metres. */
export function formatMetres(lengthM: number): string {
  return lengthM < 10 ? `${Number(lengthM.toFixed(1))} m` : `${Math.round(lengthM)} m`;
}

/** Height of a mount, as it was asked for. */
export function formatHeight(heightAglM: number): string {
  return `${Number(heightAglM.toFixed(2))} m`;
}

export function formatKilometres(lengthM: number): string {
  return `${(lengthM / 1000).toFixed(1)} km`;
}

/** Rates now and planned rates of a link, labelled. */
export function formatBothRates(link: {
  downMbps: number;
  upMbps: number;
  downNowMbps: number;
  upNowMbps: number;
}): string {
  const [now, planned] = [formatRates(link.downNowMbps, link.upNowMbps), formatRates(link.downMbps, link.upMbps)];
  const unit = (rates: string) => (rates === "none" ? rates : `${rates} Mbit/s`);
  return `down / up now ${unit(now)}, planned (after margins) ${unit(planned)}`;
}

/** Two rates, down and up: 31 / 7.5. Whole from 10 Mbit/s on; none where both are 0. */
export function formatRates(downMbps: number, upMbps: number): string {
  if (downMbps === 0 && upMbps === 0) return "none";
  return [downMbps, upMbps].map((rate) => (rate < 10 ? String(Number(rate.toFixed(1))) : rate.toFixed(0))).join(" / ");
}
