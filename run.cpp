#include "firmware/diagnosis/diagnose.h"
#include "sim/field/simulated_sheet.h"
#include <cstdio>
#include <cmath>
#include <chrono>
#include <cstring>
#include <cstdlib>
using namespace cornerbench;
scale::Description quarry(int sections, double kt=1.5e7){
  scale::Description q; q.deck.mass_kg=14200; q.deck.sections=sections; for(int i=0;i<sections;i++) q.deck.section_x_m[i]=6*i; q.deck.width_m=2.6; q.deck.overhang_m=.4; q.deck.twist_stiffness_N_m_per_rad=kt; q.max_kg=60000; q.division_kg=20; q.home_run_m=40;
  for(auto&x:q.cells){x.capacity_kg=30000;x.cable_m=14;} q.trim={scale::TrimKind::excitation_series,20,25,0,0}; return q; }
int main(int argc,char**argv){
  int sections=argc>1?atoi(argv[1]):4; bool noisy=argc>2?atoi(argv[2]):0; const char* only=argc>3?argv[3]:nullptr; double ushare=argc>4?atof(argv[4]):0.7; int verbose=argc>5;
  auto d=quarry(sections);
  int right=0,total=0; double time=0;
  for(int ci=0;ci<scale::cause_count-1;ci++){ auto cause=(scale::Cause)ci; if(!scale::possible(d,cause)) continue; if(only&&strcmp(only,scale::name_of(cause))) continue;
    for(int s=0;s<scale::site_count(d,cause);s+= (scale::site_count(d,cause)>4? 3:1)) for(int v=0;v<scale::variant_count(d,cause);v++){
      scale::Fault f; f.cause=cause; f.site=scale::site_at(d,cause,s); f.variant=scale::variant_at(d,cause,v); auto m=scale::magnitudes_of(d,cause,f.site);
      for(int k=0;k<m.count;k++) f.magnitude[k]=diagnosis::magnitude_at(m.of[k],k==0?ushare:0.6);
      scale::Fault fs[1]={f}; field::SheetSetting set; set.noisy=noisy; 
      if(!noisy){set.scatter={}; }
      auto sh=field::simulate_sheet(d,std::span<const scale::Fault>(fs,1),17+s,{},set); auto sheet=sh.sheet();
      static std::vector<double> mem; mem.resize(diagnosis::diagnosis_doubles(d,sheet)); std::vector<diagnosis::Candidate> c(diagnosis::candidate_count(d));
      auto t0=std::chrono::steady_clock::now(); auto o=diagnosis::diagnose(d,sheet,diagnosis::default_priors(d),mem,c); double dt=std::chrono::duration<double>(std::chrono::steady_clock::now()-t0).count(); time+=dt;
      double gp=0; bool ok=false; for(auto&x:c){ bool same=x.group>=0?x.group==c[0].group:&x==&c[0]; if(same){gp+=x.probability; if(x.fault.cause==f.cause&&x.fault.site==f.site) ok=true;} }
      total++; if(ok&&gp>0.9) right++;
      if(verbose||!(ok&&gp>0.9)) {std::printf("%-24s site %d/%d v%d m=%.4g: err %d wild %d(%d) misfit %.1f/%d  %.0f ms mem %.1f MB gp %.3f %s\n",scale::name_of(cause),f.site.index,f.site.other,v,f.magnitude[0],(int)o.error,o.wild_count,o.wild_count?o.wild[0].reading:-1,o.misfit,o.measured,dt*1e3,mem.size()*8e-6,gp,ok?"OK":"WRONG");
        for(int i=0;i<4;i++) std::printf("     %-24s %d/%d k%d a%d b%d p %.4f est %.4g [%.4g %.4g] best %.4g grp %d logd %.2f\n",scale::name_of(c[i].fault.cause),c[i].fault.site.index,c[i].fault.site.other,(int)c[i].fault.site.kind,(int)c[i].fault.variant.a,(int)c[i].fault.variant.b,c[i].probability,c[i].estimate[0].value,c[i].estimate[0].low,c[i].estimate[0].high,c[i].fault.magnitude[0],c[i].group,c[i].best_log_density);}
    }}
  std::printf("right %d of %d, %.1f ms each\n",right,total,time/total*1e3);
}
