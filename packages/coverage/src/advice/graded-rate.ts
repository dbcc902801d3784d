/** Net rate at a SINR, by the table: 0 below the first threshold. */
export function atRate(rateSinr: Float64Array, netMbps: Float64Array, sinr: number): number {
  let rate = 0;
  for (let index = 0; index < rateSinr.length && sinr >= rateSinr[index]; index++) rate = netMbps[index];
  return rate;
}

/**
 * The same without steps, so that of two channels the cleaner one is preferred where both allow one rate: straight in
 * dB between the thresholds; below the first it falls with the SINR, beyond the last it stays.
 */
export function gradedRate(rateSinr: Float64Array, netMbps: Float64Array, sinr: number): number {
  const last = rateSinr.length - 1;
  if (sinr >= rateSinr[last]) return netMbps[last];
  if (sinr <= rateSinr[0]) return (netMbps[0] * sinr) / rateSinr[0];
  let index = 0;
  while (sinr >= rateSinr[index + 1]) index++;
  const share = Math.log(sinr / rateSinr[index]) / Math.log(rateSinr[index + 1] / rateSinr[index]);
  return netMbps[index] + share * (netMbps[index + 1] - netMbps[index]);
}
