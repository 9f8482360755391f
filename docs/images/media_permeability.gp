# Permeability over solidity by eight models: the example media_pressure_drop. Run from the project's root:
#   gnuplot docs/images/media_permeability.gp
set terminal svg size 760,440 font "sans-serif,13" background "white"
set output "docs/images/media_permeability.svg"
data = "examples/expected/media_pressure_drop.txt"
set datafile missing "?"
set logscale y
set xlabel "solidity (volume of fibres over volume of medium)"
set ylabel "permeability over squared fibre diameter"
set xrange [0:0.31]
set yrange [0.018:30]
set grid lc rgb "#dddddd"
set key top right reverse Left samplen 2
plot data index 2 using 1:2 with lines lc rgb "#0072B2" lw 3 title "Davies, effective diameter", \
     data index 2 using 1:3 with lines lc rgb "#D55E00" lw 2 dt 2 title "Kuwabara", \
     data index 2 using 1:4 with lines lc rgb "#009E73" lw 2 title "Happel, across", \
     data index 2 using 1:5 with lines lc rgb "#009E73" lw 2 dt 4 title "Happel, along", \
     data index 2 using 1:6 with lines lc rgb "#000000" lw 1 title "Drummond and Tahir", \
     data index 2 using 1:7 with lines lc rgb "#CC79A7" lw 2 title "Jackson and James", \
     data index 2 using 1:8 with lines lc rgb "#E69F00" lw 2 title "Spielman and Goren, layered", \
     data index 2 using 1:9 with lines lc rgb "#E69F00" lw 2 dt 4 title "Spielman and Goren, isotropic"
