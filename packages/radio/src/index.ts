export * from "./cables.ts";
export * from "./channel-coupling.ts";
export * from "./modulation.ts";
export * from "./net-rate.ts";
export * from "./noise.ts";
export * from "./phy-rate.ts";
export { POWER_RULES, type PowerRule } from "./power-rule-rows.ts";
export * from "./power-rules.ts";
export * from "./scan/index.ts";
