/**
 * Version of what is computed. It stands in every result and in every job id: any change that alters a number
 * must raise it.
 */
export const MODEL_VERSION = "fellmark-6";
