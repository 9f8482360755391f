# Penetration over particle size of the example single_fibre. Run from the project's root:
#   gnuplot docs/images/single_fibre.gp
set terminal svg size 720,420 font "sans-serif,13" background "white"
set output "docs/images/single_fibre.svg"
data = "examples/expected/single_fibre.txt"
set logscale x
set xlabel "particle size, um"
set ylabel "penetration"
set xrange [0.01:3.2]
set yrange [0:1]
set xtics (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2)
set ytics 0,0.2,1
set grid lc rgb "#dddddd"
set key top left reverse Left samplen 2
array colour[3] = ["#0072B2", "#009E73", "#D55E00"]
array dash[3] = [1, 2, 4]
plot for [i=0:2] data index i using 1:2 with lines lc rgb colour[i+1] lw 2 dt dash[i+1] title columnheader(1)
