import { createFault, findAntenna, takeAntenna } from "./change-parts.ts";
import type { ChangeOf } from "./changes.ts";
import type { CoverageRequest } from "./coverage-request.ts";

/** Moves a mast with its sectors; its subscribers turn to where it stands now. */
export function moveSite(request: CoverageRequest, change: ChangeOf<"move-site">, at: string): CoverageRequest {
  const { site: id, lon, lat } = change;
  if (!request.sites.some((site) => site.id === id))
    throw createFault(`${at}/site`, `there is no site "${id}" at this point of the changes`);
  return { ...request, sites: request.sites.map((site) => (site.id === id ? { ...site, lon, lat } : site)) };
}

/** Gives every place another CPE. A new loss of the feeder takes the place of the feeder as it was built. */
export function changeCpe(request: CoverageRequest, change: ChangeOf<"cpe">, at: string): CoverageRequest {
  const { feeder, ...old } = request.cpe;
  const taken = takeAntenna(request, change.antenna ?? old.antenna, `${at}/antenna`);
  const { radio = old.radio, heightAglM = old.heightAglM, powerDbm = old.powerDbm, mount = old.mount } = change;
  const { feederLossDb = old.feederLossDb, heightAboveRoofM = old.heightAboveRoofM } = change;
  if (!request.radios.some(({ id }) => id === radio)) throw createFault(`${at}/radio`, `there is no radio "${radio}"`);
  const cpe = { ...old, antenna: taken.id, radio, heightAglM, powerDbm, feederLossDb, heightAboveRoofM };
  const isFeederKept = feeder !== undefined && change.feederLossDb === undefined;
  return { ...taken.request, cpe: { ...cpe, ...(mount && { mount }), ...(isFeederKept && { feeder }) } };
}

export function changePlan(request: CoverageRequest, change: ChangeOf<"plan">, at: string): CoverageRequest {
  const { plan: id, downMbps, upMbps } = change;
  checkPlan(request, id, at);
  return { ...request, plans: request.plans.map((plan) => (plan.id === id ? { ...plan, downMbps, upMbps } : plan)) };
}

export function changeSubscriberPlan(
  request: CoverageRequest,
  { subscriber: id, plan }: ChangeOf<"subscriber-plan">,
  at: string,
): CoverageRequest {
  if (!request.subscribers.some((subscriber) => subscriber.id === id))
    throw createFault(`${at}/subscriber`, `there is no subscriber "${id}" at this point of the changes`);
  checkPlan(request, plan, at);
  const subscribers = request.subscribers.map((subscriber) =>
    subscriber.id === id ? { ...subscriber, plan } : subscriber,
  );
  return { ...request, subscribers };
}

export function addSubscribers(
  request: CoverageRequest,
  change: ChangeOf<"add-subscribers">,
  at: string,
): CoverageRequest {
  const known = new Set(request.subscribers.map(({ id }) => id));
  change.subscribers.forEach(({ id, sector, plan }, index) => {
    const here = `${at}/subscribers/${index}`;
    if (known.has(id)) throw createFault(`${here}/id`, `there is another subscriber "${id}" already`);
    if (!request.sectors.some((candidate) => candidate.id === sector))
      throw createFault(`${here}/sector`, `there is no sector "${sector}" at this point of the changes`);
    checkPlan(request, plan, here);
    known.add(id);
  });
  return { ...request, subscribers: [...request.subscribers, ...change.subscribers] };
}

export function addEmitter(
  request: CoverageRequest,
  { emitter }: ChangeOf<"add-emitter">,
  at: string,
): CoverageRequest {
  if (request.emitters.some(({ id }) => id === emitter.id))
    throw createFault(`${at}/emitter/id`, `there is another emitter "${emitter.id}" already`);
  if (emitter.antenna !== undefined) findAntenna(request, emitter.antenna, `${at}/emitter/antenna`);
  return { ...request, emitters: [...request.emitters, emitter] };
}

function checkPlan({ plans }: CoverageRequest, id: string, at: string): void {
  if (!plans.some((plan) => plan.id === id)) throw createFault(`${at}/plan`, `there is no plan "${id}"`);
}
