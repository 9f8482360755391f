# Permeability over solidity by two models: the example media_pressure_drop. Run from the project's root:
#   gnuplot docs/images/media_permeability.gp
set terminal svg size 720,380 font "sans-serif,13" background "white"
set output "docs/images/media_permeability.svg"
data = "examples/expected/media_pressure_drop.txt"
set logscale y
set xlabel "solidity (volume of fibres over volume of medium)"
set ylabel "permeability over squared fibre diameter"
set xrange [0:0.26]
set yrange [0.03:30]
set grid lc rgb "#dddddd"
set key top right reverse Left samplen 2
plot data index 2 using 1:2 with lines lc rgb "#0072B2" lw 2 title "Davies: measured media, effective diameter", \
     data index 2 using 1:3 with lines lc rgb "#D55E00" lw 2 dt 2 title "Kuwabara: even array, geometric diameter"
