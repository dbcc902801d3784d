import { CLUTTER_ROWS, PATH_CLUTTER_HEIGHT_M } from "@fellmark/propagation";
import { CABLES, computeFeederLossDb, POWER_RULES, type PowerRule } from "@fellmark/radio";
import { z } from "zod";
import { ANTENNA_KINDS, antennaSchema } from "./antenna-schema.ts";
import { CLUTTER_CLASSES, CLUTTER_MEANINGS } from "./model-schemas.ts";

/** The things that a request can name by an id or a kind, each with what it means. */

/** Every power rule that a sector or CPE can name. */
export function listPowerRules(): readonly PowerRule[] {
  return POWER_RULES;
}

export interface AntennaField {
  name: string;
  isRequired: boolean;
  description: string;
}

export interface AntennaKind {
  kind: string;
  description: string;
  fields: AntennaField[];
}

/** Every kind of antenna with its fields. */
export function listAntennaKinds(): AntennaKind[] {
  return Object.entries(ANTENNA_KINDS).map(([kind, description]) => ({ kind, description, fields: listFields(kind) }));
}

function listFields(kind: string): AntennaField[] {
  const form = antennaSchema.options.find(({ shape }) => shape.kind.safeParse(kind).success);
  const fields = Object.entries(form?.shape ?? {}).filter(([name]) => name !== "kind" && name !== "id");
  return fields.map(([name, schema]) => ({
    name,
    isRequired: !schema.safeParse(undefined).success,
    description: z.globalRegistry.get(schema)?.description ?? "",
  }));
}

export interface CableClass {
  id: string;
  title: string;
  lossPer100M: { frequencyGhz: number; lossDb: number }[];
}

const LISTED_FREQUENCIES_GHZ = [0.9, 2.4, 3.6, 5.8];

/** Every class of feeder cable with its loss at common frequencies. Common practice, no source. */
export function listCableClasses(): CableClass[] {
  return CABLES.map(({ id, title }) => ({
    id,
    title,
    lossPer100M: LISTED_FREQUENCIES_GHZ.map((frequencyGhz) => ({
      frequencyGhz,
      lossDb: roundDecimals(computeFeederLossDb({ cable: id, lengthM: 100, connectors: 0 }, frequencyGhz), 2),
    })),
  }));
}

export interface ClutterClass {
  class: string;
  description: string;
  /** Height that the loss at an end of the path uses, m. Source: ITU-R P.2108-1, section 3.1. */
  endHeightM: number;
  /** Height that stands on the way of the path, m. */
  pathHeightM: number;
}

/** Every class of clutter with its heights. */
export function listClutterClasses(): ClutterClass[] {
  return CLUTTER_CLASSES.map((name) => ({
    class: name,
    description: CLUTTER_MEANINGS[name],
    endHeightM: CLUTTER_ROWS[name].heightM,
    pathHeightM: PATH_CLUTTER_HEIGHT_M[name],
  }));
}

function roundDecimals(value: number, decimals: number): number {
  return Number(value.toFixed(decimals));
}
