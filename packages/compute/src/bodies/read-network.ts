import {
  checkAntennaTexts,
  type Finding,
  findNetworkSlips,
  listAntennaTexts,
  parseJsonBody,
  parseNetwork,
  type TerrainFacts,
  toCanonicalNetwork,
} from "@fellmark/network";
import { selectQuestion, type TerrainQuestion } from "../terrain-facts.ts";

/** A network document that is checked, as it is kept. */
export interface CheckedNetwork {
  document: string;
  version: string;
  question: TerrainQuestion;
}

/** Reads and checks the body of a network. Throws `malformed_json`, and InputError for fields and for texts of antennas. */
export async function readNetwork(body: Uint8Array): Promise<CheckedNetwork> {
  const network = parseNetwork(parseJsonBody(body));
  await checkAntennaTexts(listAntennaTexts(network));
  return { ...toCanonicalNetwork(network), question: selectQuestion(network) };
}

/** A network document that was checked, and the terrain that it is checked against. */
export interface NetworkSlips {
  document: string;
  facts?: TerrainFacts | undefined;
}

export function findDocumentSlips({ document, facts }: NetworkSlips): Finding[] {
  return findNetworkSlips(JSON.parse(document), facts);
}
