# Darcy's friction factor over the Reynolds number, and how far the explicit formulas are from Colebrook's equation: the
# example duct_run. Run from the project's root:
#   gnuplot docs/images/friction_factor.gp
set terminal svg size 720,1080 font "sans-serif,13" background "white"
set output "docs/images/friction_factor.svg"
data = "examples/expected/duct_run.txt"
set grid lc rgb "#dddddd"
set lmargin 10
set multiplot layout 3,1
set logscale x
set format x "10^{%L}"
set xlabel "Reynolds number"
set title "Friction factor (Darcy's): laminar, a smooth blend, Colebrook"
set ylabel "friction factor"
set xrange [500:1.3e6]
set yrange [0:0.13]
set key top right samplen 2
plot data index 1 using 1:4 with lines lc rgb "#D55E00" lw 2 title "roughness over diameter 0.01", \
     data index 1 using 1:3 with lines lc rgb "#0072B2" lw 2 title "0.001", \
     data index 1 using 1:2 with lines lc rgb "#000000" lw 2 title "smooth", \
     data index 1 using 1:5 with lines lc rgb "#009E73" lw 2 dt 2 title "0.001 by Churchill's formula"
set xrange [5000:1e6]
set ylabel "above Colebrook, %"
set yrange [-6:4]
set key bottom left reverse Left samplen 3
do for [block = 2:3] {
    set title block == 2 ? "Explicit formulas, smooth duct" : "Explicit formulas, roughness over diameter 0.001"
    plot data index block using 1:2 with lines lc rgb "#000000" lw 2 title "Serghides", \
         data index block using 1:3 with lines lc rgb "#0072B2" lw 2 title "Haaland", \
         data index block using 1:4 with lines lc rgb "#CC79A7" lw 2 title "Swamee and Jain", \
         data index block using 1:5 with lines lc rgb "#009E73" lw 2 dt 2 title "Churchill", \
         data index block using 1:6 with lines lc rgb "#E69F00" lw 2 dt 4 title "Altshul and Tsal"
    unset key
}
unset multiplot
