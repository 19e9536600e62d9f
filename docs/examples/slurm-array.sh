#!/usr/bin/env bash
# A drawer measured in parts by a Slurm array, one part a task:
#
#   sbatch --export=ALL,SCANS=/data/scans,OUT=/data/results docs/examples/slurm-array.sh
#
# and, when all tasks have ended:
#
#   npx knapgauge merge /data/results.parts/* --out /data/results
#
# SHARDS must be the number of tasks of the array. A task that was stopped is handed in again (sbatch --array=7 …) with the same
# SHARDS: it keeps the pieces that it has measured.

#SBATCH --job-name=knapgauge
#SBATCH --array=1-64
#SBATCH --cpus-per-task=2
#SBATCH --mem=3G
#SBATCH --time=24:00:00

set -euo pipefail

: "${SCANS:?the folder of scans and photographs, or a CSV list}"
: "${OUT:?the folder for the results}"
: "${SLURM_ARRAY_TASK_ID:?is set by Slurm; run this script with sbatch}"
SHARDS=${SHARDS:-64}
# How the program is started; several words are allowed.
read -ra command <<< "${KNAPGAUGE:-npx knapgauge}"
# Further options of `knapgauge drawer`, such as: --unit mm
read -ra options <<< "${OPTIONS:-}"

code=0
"${command[@]}" drawer "$SCANS" --out "$OUT.parts/$SLURM_ARRAY_TASK_ID" --shard "$SLURM_ARRAY_TASK_ID/$SHARDS" \
  --jobs "${SLURM_CPUS_PER_TASK:-1}" --quiet ${options[@]+"${options[@]}"} || code=$?
# 3 says that a scan could not be measured: it is a row of failures.csv, and no reason to call the task failed.
[ "$code" -eq 3 ] && code=0
exit "$code"
